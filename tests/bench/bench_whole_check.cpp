/// The whole check of a 100,000-point scan against about 3,000 triangles: files in, sheet out.
/// Prints CSV: name, n, threads, median_ms, min_ms, peak_rss_mb over seven runs after a warm-up.

#include <sys/resource.h>

#include <chrono>
#include <filesystem>
#include <iostream>
#include <thread>

#include "support/mesh_files.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/inspect.hpp"
#include "trammel/read/read_plan.hpp"
#include "trammel/report/report.hpp"

namespace {

using namespace trammel;
namespace fs = std::filesystem;

constexpr int kRuns = 7;

double peak_rss_mb() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;
}

/// The part cut finer, so that it has about 3,000 triangles.
Mesh about_3000_triangles(const Mesh& part) {
  for (double edge_mm = 40.0; edge_mm > 1.0; edge_mm *= 0.9) {
    Mesh finer = test::refined(part, edge_mm);
    if (finer.triangles.cols() >= 3000) return finer;
  }
  return part;
}

void bench(const std::string& name, const Mesh& part, bool with_normals, int threads,
           const fs::path& folder) {
  test::ScannerSettings settings;
  settings.points = 100000;
  settings.with_normals = with_normals;
  const Mesh design = about_3000_triangles(part);
  const test::VirtualScan scan = test::scan_of(part, settings, Rng(5));
  write_file_whole(folder / "part.stl", test::stl_bytes(design));
  write_file_whole(folder / "scan.ply", test::ply_bytes(scan.scan));
  const Plan plan = plan_for_design(folder / "part.stl");
  const ThreadLimit limit(threads);
  std::vector<double> times_ms;
  for (int run = 0; run <= kRuns; ++run) {
    const auto start = std::chrono::steady_clock::now();
    const Inspection inspection = inspect(plan, folder / "scan.ply", {"bench", "2026-01-01", ""});
    write_report(inspection, folder / "sheet");
    const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - start;
    if (run > 0) times_ms.push_back(took.count());
  }
  std::cout << name << " (" << design.triangles.cols() << " triangles)," << scan.scan.size() << ','
            << threads << ',' << fixed(quantile(times_ms, 0.5), 0) << ','
            << fixed(quantile(times_ms, 0.0), 0) << ',' << fixed(peak_rss_mb(), 0) << std::endl;
}

}  // namespace

int main() {
  std::string pattern = (fs::temp_directory_path() / "trammel-bench-XXXXXX").string();
  const fs::path folder = mkdtemp(pattern.data());
  std::cout << "name,n,threads,median_ms,min_ms,peak_rss_mb\n";
  for (const int threads : {1, 2}) {
    bench("bracket with normals", test::bracket(), true, threads, folder);
    bench("bracket without normals", test::bracket(), false, threads, folder);
    bench("housing without normals", test::housing(), false, threads, folder);
  }
  fs::remove_all(folder);
}
