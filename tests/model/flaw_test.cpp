#include "trammel/model/flaw.hpp"

#include <gtest/gtest.h>

#include <set>

namespace trammel {
namespace {

TEST(Flaw, EveryKindHasANameOfItsOwn) {
  std::set<std::string> names;
  for (const FlawKind kind : {FlawKind::Shrink, FlawKind::Skin, FlawKind::Offset, FlawKind::Lean,
                              FlawKind::Bow, FlawKind::Twist, FlawKind::Dent, FlawKind::Blob}) {
    names.insert(flaw_name(kind));
  }
  EXPECT_EQ(names.size(), 8u);
  EXPECT_EQ(names.count(""), 0u);
}

}  // namespace
}  // namespace trammel
