/// The whole check of a 100,000-point scan against about 3,000 triangles: files in, sheet out, in
/// one process, with the time of each stage taken as `inspect` tells of it.

#include <Eigen/Core>
#include <filesystem>
#include <string>

#include "bench/bench_table.hpp"
#include "bench/check_stages.hpp"
#include "support/mesh_files.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/parallel.hpp"

namespace {

using namespace trammel;
namespace fs = std::filesystem;

/// The part cut finer, so that it has about 3,000 triangles.
Mesh about_3000_triangles(const Mesh& part) {
  for (double edge_mm = 40.0; edge_mm > 1.0; edge_mm *= 0.9) {
    Mesh finer = test::refined(part, edge_mm);
    if (finer.triangles.cols() >= 3000) return finer;
  }
  return part;
}

void bench_part(const std::string& name, const Mesh& part, bool with_normals, int threads,
                const fs::path& folder) {
  test::ScannerSettings settings;
  settings.points = 100000;
  settings.with_normals = with_normals;
  const Mesh design = about_3000_triangles(part);
  const test::VirtualScan scan = test::scan_of(part, settings, Rng(5));
  write_file_whole(folder / "part.stl", test::stl_bytes(design));
  write_file_whole(folder / "scan.ply", test::ply_bytes(scan.scan));

  const ThreadLimit limit(threads);
  bench::forget_peak_rss();
  bench::StageTimes warm_up, times;
  bench::check_once(folder, warm_up);
  for (int run = 0; run < bench::kRuns; ++run)
    bench::check_once(folder, times);
  const std::string label =
      name + " of " + std::to_string(design.triangles.cols()) + " triangles: ";
  for (const std::string& stage : times.order)
    bench::print_row(label + stage, static_cast<std::size_t>(scan.scan.size()), threads,
                     times.times_ms.at(stage));
}

}  // namespace

int main() {
  std::string pattern = (fs::temp_directory_path() / "trammel-bench-XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) return 73;
  const fs::path folder = pattern;
  bench::print_header();
  for (const int threads : {1, 2}) {
    bench_part("bracket with normals", test::bracket(), true, threads, folder);
    bench_part("bracket without normals", test::bracket(), false, threads, folder);
    bench_part("housing without normals", test::housing(), false, threads, folder);
  }
  fs::remove_all(folder);
}
