#pragma once

/// Times and the table every bench prints: CSV with name, n, threads, median_ms, min_ms,
/// peak_rss_mb.

#include <chrono>
#include <cstddef>
#include <functional>
#include <string>
#include <vector>

namespace trammel::bench {

constexpr int kRuns = 7;  ///< timed, after one that is not

/// Milliseconds since it was made or last asked.
class Stopwatch {
 public:
  [[nodiscard]] double lap_ms();

 private:
  std::chrono::steady_clock::time_point last_ = std::chrono::steady_clock::now();
};

/// Forgets the largest memory so far, so that the next row tells its own. Where the system cannot
/// (not Linux), the peak stays that of the whole process.
void forget_peak_rss();
[[nodiscard]] double peak_rss_mb();

/// Runs `work` once to warm up and then so often. @return #runs times, ms
[[nodiscard]] std::vector<double> times_ms(const std::function<void()>& work, int runs = kRuns);

void print_header();
/// @param n  points, queries or triangles, whichever the bench counts
/// @param peak_rss_mb  the largest memory: of this process, or of one that it ran
void print_row(const std::string& name, std::size_t n, int threads,
               const std::vector<double>& times_ms, double peak_rss_mb = bench::peak_rss_mb());

/// All the machine has.
[[nodiscard]] int machine_threads();

}  // namespace trammel::bench
