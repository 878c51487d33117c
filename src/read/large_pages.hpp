#pragma once

/// Memory for millions of points costs more to have handed over page by page than to fill.

#include <Eigen/Core>
#include <cstddef>
#include <cstdint>

#if defined(__linux__)
#include <sys/mman.h>
#endif

namespace trammel::read {

/// 3 × `count`, not initialised, on large pages where the system has them: 10 million points are
/// then ready in a few milliseconds instead of half a second. Without them all is the same, slower.
inline Eigen::Matrix3Xd large_columns(std::size_t count) {
  Eigen::Matrix3Xd columns(3, static_cast<Eigen::Index>(count));
#if defined(__linux__) && defined(MADV_HUGEPAGE)
  constexpr std::uintptr_t kLargePage = std::uintptr_t{1} << 21U;
  const auto begin = reinterpret_cast<std::uintptr_t>(columns.data());
  const std::uintptr_t end = begin + 3 * count * sizeof(double);
  const std::uintptr_t first = (begin + kLargePage - 1) / kLargePage * kLargePage;
  if (first < end) {
    // Advice only: it moves no data, and nothing depends on its being taken.
    (void)madvise(reinterpret_cast<void*>(first), end - first, MADV_HUGEPAGE);
  }
#endif
  return columns;
}

}  // namespace trammel::read
