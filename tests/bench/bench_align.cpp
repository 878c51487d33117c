/// Aligning a scan of 100,000 points without normals from any pose, points in memory, and the same
/// done plainly with Open3D where that is installed, in turn, for two parts in five poses each.
///
/// Ours tidies the scan, samples it, builds what it needs of the design, finds the pose, and says
/// how sure it is; the peer thins, matches and fits. A line beside them says how far off each lay
/// at the worst corner of the part.

#include <iostream>
#include <string>
#include <vector>

#include "bench/bench_table.hpp"
#include "bench/plain_job.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/align.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/tidy/tidy.hpp"

namespace {

using namespace trammel;

constexpr int kPoses = 5;
constexpr std::size_t kPoints = 100'000;

struct Tries {
  std::vector<double> times_ms, errors_mm;
};

void print_tries(const std::string& name, const Tries& tries, int threads) {
  bench::print_row(name, kPoints, threads, tries.times_ms);
  std::cout << "# " << name << ": " << fixed(quantile(tries.errors_mm, 0.5), 4) << " mm off, "
            << fixed(quantile(tries.errors_mm, 1.0), 4) << " mm at worst" << std::endl;
}

void bench_part(const std::string& name, const Mesh& part, int threads) {
  const ThreadLimit limit(threads);
  test::ScannerSettings settings;
  settings.points = kPoints;
  settings.with_normals = false;
  Tries ours, plain;
  for (int pose = 0; pose < kPoses; ++pose) {
    const test::VirtualScan made =
        test::scan_of(part, settings, Rng(5).stream("pose " + std::to_string(pose)));
    const auto off_mm = [&](const Eigen::Isometry3d& T_design_scan) {
      return test::corner_error_mm(T_design_scan.inverse(), made.T_design_scan.inverse(),
                                   bounding_box(part.vertices_mm));
    };
    bench::Stopwatch watch;
    const Alignment found = align(tidy(made.scan).scan, SurfaceIndex(part), {}, Rng(6));
    ours.times_ms.push_back(watch.lap_ms());
    ours.errors_mm.push_back(off_mm(found.T_design_scan));
    const auto peer = bench::plain_alignment(part, made.scan.points_mm);
    if (!peer) continue;
    plain.times_ms.push_back(peer->time_ms);
    plain.errors_mm.push_back(off_mm(peer->T_design_scan));
  }
  print_tries("trammel " + name, ours, threads);
  if (plain.times_ms.empty()) return;
  print_tries("Open3D " + name, plain, threads);
  std::cout << "# trammel / Open3D: "
            << fixed(quantile(ours.times_ms, 0.5) / quantile(plain.times_ms, 0.5), 2) << std::endl;
}

}  // namespace

int main() {
  bench::print_header();
  bench_part("bracket", test::bracket(), bench::machine_threads());
  bench_part("housing", test::housing(), bench::machine_threads());
}
