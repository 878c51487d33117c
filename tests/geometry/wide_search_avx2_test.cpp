#include "wide_search_check.hpp"

namespace trammel {
namespace {

TEST(WideSearchAvx2, CandidatesHoldTheClosestTriangle) {
#if defined(__x86_64__)
  if (!__builtin_cpu_supports("avx2")) GTEST_SKIP() << "this machine has no AVX2";
  EXPECT_EQ(wide::best_search(), &wide::search_avx2);
  test::expect_search_misses_nothing(&wide::search_avx2);
#else
  GTEST_SKIP() << "this machine has no AVX2";
#endif
}

}  // namespace
}  // namespace trammel
