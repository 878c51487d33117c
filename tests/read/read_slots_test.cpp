#include "../../src/read/read_slots.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "trammel/read/read_plan.hpp"

namespace trammel::read {
namespace {

std::vector<SlotCheck> slots(const std::string& text) {
  return parse_plan("design = \"p.stl\"\n" + text, "p.toml").slots;
}
std::string slot_error(const std::string& text) {
  return test::input_error([&] { (void)slots("[[slot]]\nname = \"A\"\nat = [1, 2, 3]\n" + text); });
}

TEST(ReadSlots, TakesWhatIsGivenAndNothingElse) {
  const auto read = slots(
      "[[slot]]\nname = \"left\"\nat = [1, 2, 3]\nposition = 0.5\nwidth = [8.2, 8.6]\n"
      "length = [20, 20.5]\n[[slot]]\nname = \"right\"\nat = [4, 5, 6]\n");
  ASSERT_EQ(read.size(), 2U);
  EXPECT_EQ(read[0].name, "left");
  EXPECT_EQ(read[0].at_mm, Eigen::Vector3d(1, 2, 3));
  EXPECT_EQ(read[0].position_mm, 0.5);
  EXPECT_EQ(read[0].width_mm->low_mm, 8.2);
  EXPECT_EQ(read[0].width_mm->high_mm, 8.6);
  EXPECT_EQ(read[0].length_mm->low_mm, 20.0);
  EXPECT_EQ(read[0].length_mm->high_mm, 20.5);
  EXPECT_EQ(read[1].name, "right");
  EXPECT_FALSE(read[1].position_mm || read[1].width_mm || read[1].length_mm);
  EXPECT_TRUE(slots("").empty());
}

TEST(ReadSlots, SayWhatIsWrongAndWhere) {
  EXPECT_NE(slot_error("widht = [1, 2]\n").find("p.toml:5"), std::string::npos);
  EXPECT_NE(
      slot_error("width = [9, 8]\n")
          .find("expected a lower and then an upper limit above 0 for 'width', found 9 and 8"),
      std::string::npos);
  EXPECT_NE(slot_error("length = [0, 8]\n").find("'length'"), std::string::npos);
  EXPECT_NE(slot_error("width = 8\n"), "");
  EXPECT_NE(slot_error("position = 0\n"), "");
  EXPECT_NE(slot_error("width = [8, 9]\nlength = [6, 7]\n")
                .find("expected a 'length' above 'width', found at most 7"),
            std::string::npos);
  EXPECT_NE(test::input_error([] { (void)slots("[[slot]]\nname = \"A\"\n"); }).find("'slot 1.at'"),
            std::string::npos);
  EXPECT_NE(
      test::input_error([] { (void)slots("[[slot]]\nat = [1, 2, 3]\n"); }).find("'slot 1.name'"),
      std::string::npos);
}

}  // namespace
}  // namespace trammel::read
