#include "wide_search_check.hpp"

namespace trammel {
namespace {

TEST(WideSearchPlain, CandidatesHoldTheClosestTriangle) {
  test::expect_search_misses_nothing(&wide::search_plain);
}

}  // namespace
}  // namespace trammel
