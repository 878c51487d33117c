/// The whole check of a scan of millions of points against a design of millions of triangles, and
/// the same job written plainly with Open3D where that is installed.
///
/// bench_large_check [POINTS [TRIANGLES]]: without numbers 2 and 10 million points against 2.8
/// million triangles.

#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include "bench/bench_table.hpp"
#include "bench/check_stages.hpp"
#include "bench/plain_job.hpp"
#include "trammel/base/parallel.hpp"

namespace {

using namespace trammel;
namespace fs = std::filesystem;

constexpr long kMostTriangles = 2'800'000;

void bench_size(const fs::path& folder, std::size_t points, Eigen::Index triangles, int threads) {
  bench::write_inputs(folder, points, triangles);
  const ThreadLimit limit(threads);
  bench::forget_peak_rss();
  bench::StageTimes times;
  bench::check_once(folder, times);
  for (const std::string& stage : times.order)
    bench::print_row(stage, points, threads, times.times_ms.at(stage));
  bench::forget_peak_rss();
  if (const auto plain_ms = bench::plain_job_ms(folder))
    bench::print_row("plain job with Open3D", points, threads, {*plain_ms});
}

}  // namespace

int main(int count, char** given) {
  std::string pattern = (fs::temp_directory_path() / "trammel-bench-XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) return 73;
  const fs::path folder = pattern;
  std::vector<std::size_t> sizes = {2'000'000, 10'000'000};
  if (count > 1) sizes = {std::strtoul(given[1], nullptr, 10)};
  const long triangles = count > 2 ? std::strtol(given[2], nullptr, 10) : kMostTriangles;
  bench::print_header();
  for (const std::size_t points : sizes)
    bench_size(folder, points, triangles, bench::machine_threads());
  fs::remove_all(folder);
}
