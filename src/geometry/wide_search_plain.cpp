#include "wide_search.hpp"

namespace trammel::wide {

int search_plain(const Tree& tree, const Question& question, Candidate* out, int room) {
  return search(tree, question, out, room);
}

Search best_search() {
#if defined(TRAMMEL_AVX2)
  if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma")) return &search_avx2;
#endif
  return &search_plain;
}

}  // namespace trammel::wide
