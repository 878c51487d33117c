#include "trammel/report/balloon_names.hpp"

#include <gtest/gtest.h>

#include <set>

#include "trammel/report/utf8.hpp"

namespace trammel {
namespace {

std::size_t letters(const std::string& name) {
  return codes_of(name).size();
}

TEST(BalloonNames, ShortNamesStayAndLongOnesKeepTheirLastWords) {
  const std::vector<std::string> names = {"A", "floor 1", "shelf screw", "bore of the stand",
                                          "Hole for the bolt of the strut, number 17"};
  const std::vector<std::string> labels = short_names(names);
  EXPECT_EQ(labels[0], "A");
  EXPECT_EQ(labels[1], "floor 1");
  EXPECT_EQ(labels[2], "shelf screw");
  EXPECT_EQ(labels[3], "bore…stand");
  EXPECT_EQ(labels[4].substr(labels[4].size() - 2), "17") << labels[4];
}

TEST(BalloonNames, AlikeNamesKeepWhatTellsThemApart) {
  const std::vector<std::string> labels = short_names({"Hole of the strut number 12, left side",
                                                       "Hole of the strut number 17, left side",
                                                       "Hole of the strut number 3, left side"});
  EXPECT_NE(labels[0].find("12"), std::string::npos) << labels[0];
  EXPECT_NE(labels[1].find("17"), std::string::npos) << labels[1];
  EXPECT_NE(labels[2].find("3"), std::string::npos) << labels[2];
}

TEST(BalloonNames, NoTwoReadAlikeWhateverTheNames) {
  std::vector<std::string> names;
  for (int i = 0; i < 40; ++i) {
    names.push_back("Hole " + std::string(290, 'x') + std::to_string(i));
    names.push_back(std::string(150, 'y') + std::to_string(i) + std::string(140, 'y'));
    names.push_back("左下孔 第" + std::to_string(i) + "号 用于螺栓的固定孔位");
    names.push_back("\xd7\x97\xd7\x95\xd7\xa8 \xd7\xa8\xd7\x90\xd7\xa9\xd7\x99 ארוך מאוד " +
                    std::to_string(i) + " בצד שמאל");
  }
  for (const int same : {1, 2, 3})
    names.push_back(std::string(60, 'z') + std::string(same, 'z'));
  const std::vector<std::string> labels = short_names(names);
  ASSERT_EQ(labels.size(), names.size());
  const std::set<std::string> different(labels.begin(), labels.end());
  EXPECT_EQ(different.size(), labels.size());
  for (const std::string& label : labels)
    EXPECT_LE(letters(label), 17U) << label;  // of the narrowest letters sixteen fit
}

TEST(BalloonNames, ANumberSaysWhatItNames) {
  Verdict verdict;
  verdict.holes.resize(3);
  verdict.holes[0].name = "1";
  verdict.holes[1].name = "2";
  verdict.holes[1].kind = RoundKind::Pin;
  verdict.holes[2].name = "3a";
  verdict.slots.resize(1);
  verdict.slots[0].name = "4";
  const BalloonNames names = balloon_names(verdict);
  EXPECT_EQ(names.holes, (std::vector<std::string>{"hole 1", "pin 2", "3a"}));
  EXPECT_EQ(names.slots, (std::vector<std::string>{"slot 4"}));
}

}  // namespace
}  // namespace trammel
