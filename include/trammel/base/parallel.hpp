#pragma once

/// Loops over indices on all threads, and sums that give the same bits on any number of them.
///
/// Every loop writes to slot i only. The thread count is set once, in main, by `limit_threads`.

#include <algorithm>
#include <cstddef>
#include <functional>
#include <vector>

namespace trammel {

/// Holds the number of worker threads for as long as it lives.
class ThreadLimit {
 public:
  /// @param threads  0 = as many as the machine has
  explicit ThreadLimit(int threads);
  ~ThreadLimit();
  ThreadLimit(const ThreadLimit&) = delete;
  ThreadLimit& operator=(const ThreadLimit&) = delete;

 private:
  void* control_;
};

/// Runs body(begin, end) over chunks of [0, count); chunk borders depend on `grain` alone.
/// Chunks start at multiples of `grain`, so that per-chunk results are the same on any machine.
void for_each_chunk(std::size_t count, std::size_t grain,
                    const std::function<void(std::size_t begin, std::size_t end)>& body);

/// Runs all tasks, at the same time where there are threads for it, and returns when all are done.
/// What one task writes no other may touch.
/// @throws what the first in the list of those that threw did, whichever was quicker
void run_together(const std::vector<std::function<void()>>& tasks);

/// Runs body(i) for each i in [0, count).
template <typename Body>
void for_each_index(std::size_t count, const Body& body, std::size_t grain = 1024) {
  for_each_chunk(count, grain, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i)
      body(i);
  });
}

/// All that add(i, to) puts at the end of `to` for the i in [0, count), in their order; on all
/// threads.
template <typename T, typename Add>
[[nodiscard]] std::vector<T> gathered(std::size_t count, const Add& add,
                                      std::size_t grain = 1U << 14U) {
  std::vector<std::vector<T>> found((count + grain - 1) / grain);
  for_each_chunk(count, grain, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i)
      add(i, found[begin / grain]);
  });
  std::vector<T> all;
  for (const std::vector<T>& some : found)
    all.insert(all.end(), some.begin(), some.end());
  return all;
}

/// The i in [0, count) for which is_chosen(i), ascending, as Eigen counts; on all threads.
template <typename Chosen>
[[nodiscard]] std::vector<std::ptrdiff_t> indices_where(std::size_t count, const Chosen& is_chosen,
                                                        std::size_t grain = 1U << 14U) {
  const auto add = [&](std::size_t i, std::vector<std::ptrdiff_t>& to) {
    if (is_chosen(i)) to.push_back(static_cast<std::ptrdiff_t>(i));
  };
  return gathered<std::ptrdiff_t>(count, add, grain);
}

/// Adds value(i) over [0, count) in an order fixed by `grain`, whatever the thread count.
/// @param zero  the start value of every chunk; T needs operator+=
template <typename T, typename Value>
[[nodiscard]] T ordered_sum(std::size_t count, const T& zero, const Value& value,
                            std::size_t grain = 1024) {
  std::vector<T> partial((count + grain - 1) / grain, zero);
  for_each_chunk(count, grain, [&](std::size_t begin, std::size_t end) {
    T sum = zero;
    for (std::size_t i = begin; i < end; ++i)
      sum += value(i);
    partial[begin / grain] = sum;
  });
  T total = zero;
  for (const T& part : partial)
    total += part;
  return total;
}

}  // namespace trammel
