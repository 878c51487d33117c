#include "wide_search.hpp"

namespace trammel::wide {

int search_avx2(const Tree& tree, const Question& question, Candidate* out, int room) {
  return search(tree, question, out, room);
}

}  // namespace trammel::wide
