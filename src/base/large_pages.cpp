#include "trammel/base/large_pages.hpp"

#include <cstdint>

#if defined(__linux__)
#include <sys/mman.h>
#endif

namespace trammel {

void advise_large_pages(void* begin, std::size_t bytes) {
#if defined(__linux__) && defined(MADV_HUGEPAGE)
  constexpr std::uintptr_t kLargePage = std::uintptr_t{1} << 21U;
  constexpr std::size_t kLeast = std::size_t{1} << 24U;
  if (bytes < kLeast) return;
  const auto from = reinterpret_cast<std::uintptr_t>(begin);
  const std::uintptr_t first = (from + kLargePage - 1) / kLargePage * kLargePage;
  (void)madvise(reinterpret_cast<void*>(first), from + bytes - first, MADV_HUGEPAGE);
#else
  (void)begin;
  (void)bytes;
#endif
}

}  // namespace trammel
