#include "bench/bench_table.hpp"

#include <sys/resource.h>

#include <algorithm>
#include <fstream>
#include <iostream>
#include <thread>

#include "trammel/base/numbers.hpp"
#include "trammel/base/stats.hpp"

namespace trammel::bench {

double Stopwatch::lap_ms() {
  const auto now = std::chrono::steady_clock::now();
  const std::chrono::duration<double, std::milli> passed = now - last_;
  last_ = now;
  return passed.count();
}

void forget_peak_rss() {
  std::ofstream("/proc/self/clear_refs") << 5;  // proc(5): resets VmHWM
}

double peak_rss_mb() {
  std::ifstream status("/proc/self/status");
  for (std::string word; status >> word;) {
    double peak_kb = 0.0;
    if (word == "VmHWM:" && status >> peak_kb) return peak_kb / 1024.0;
  }
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;
}

std::vector<double> times_ms(const std::function<void()>& work, int runs) {
  forget_peak_rss();
  work();
  std::vector<double> times;
  for (int run = 0; run < runs; ++run) {
    Stopwatch watch;
    work();
    times.push_back(watch.lap_ms());
  }
  return times;
}

void print_header() {
  std::cout << "name,n,threads,median_ms,min_ms,peak_rss_mb" << std::endl;
}

void print_row(const std::string& name, std::size_t n, int threads,
               const std::vector<double>& times_ms, double peak_rss_mb) {
  const double median = quantile(times_ms, 0.5);
  const int decimals = median < 10.0 ? 2 : median < 100.0 ? 1 : 0;
  std::cout << name << ',' << n << ',' << threads << ',' << fixed(median, decimals) << ','
            << fixed(quantile(times_ms, 0.0), decimals) << ',' << fixed(peak_rss_mb, 0)
            << std::endl;
}

int machine_threads() {
  return static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
}

}  // namespace trammel::bench
