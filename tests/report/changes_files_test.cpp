#include "trammel/report/changes_files.hpp"

#include <gtest/gtest.h>

#include <cstring>
#include <nlohmann/json.hpp>

#include "report/sample_changes.hpp"

namespace trammel {
namespace {

TEST(ChangesJson, HasTheNamesThatAreFixed) {
  const auto json = nlohmann::json::parse(changes_json(test::sample_changes()));
  EXPECT_EQ(json["verdict"], "changed");
  EXPECT_EQ(json["alignment"]["new_to_old"][1][3], 2.0);
  EXPECT_EQ(json["alignment"]["new_to_old"][3][3], 1.0);
  ASSERT_EQ(json["changes"].size(), 1U);
  const auto& change = json["changes"][0];
  EXPECT_EQ(change["id"], 1);
  EXPECT_EQ(change["kind"], "proud");
  EXPECT_EQ(change["peak"], 0.81);
  EXPECT_EQ(change["area"], 9.0);
  EXPECT_EQ(change["center"], nlohmann::json::array({6.0, 6.0, 0.0}));
}

TEST(ChangesJson, PoseThatWasNotFoundIsNullAndNotTheIdentity) {
  Changes none = test::sample_undecided();
  none.fit.alignment.found = false;
  none.typical_detectable_mm = std::nan("");
  const auto json = nlohmann::json::parse(changes_json(none));
  EXPECT_TRUE(json["alignment"]["new_to_old"].is_null());
  EXPECT_TRUE(json["detection"]["typical"].is_null());
}

TEST(ChangesCsv, HasOneLineAChange) {
  const std::string csv = changes_csv(test::sample_changes());
  EXPECT_NE(csv.find("\r\n1,proud,0.81,0.8,0.05,9,7.2,6,6,0,0,0,1\r\n"), std::string::npos) << csv;
}

TEST(ChangedPly, HoldsEveryCorePointAndNothingForWhatWasNotMeasured) {
  const Changes changes = test::sample_changes();
  const std::string ply = changed_ply(changes);
  const std::size_t head = ply.find("end_header\n") + 11;
  EXPECT_NE(ply.find("element vertex 420\n"), std::string::npos);
  constexpr std::size_t kRow = 36;
  ASSERT_EQ(ply.size(), head + 420 * kRow);
  const auto change_at = [&](std::size_t row) {
    float value = 0.0F;
    std::memcpy(&value, ply.data() + head + row * kRow + 27, sizeof value);
    return value;
  };
  EXPECT_FLOAT_EQ(change_at(5 * 20 + 5), 0.8F);
  EXPECT_TRUE(std::isnan(change_at(399)));
  EXPECT_EQ(ply[head + 399 * kRow + 35], 1);
  EXPECT_EQ(ply[head + 410 * kRow + 35], 2);
}

TEST(ChangeColour, OfUnsureAndUnseenIsThatOfNoStep) {
  const Changes changes = test::sample_changes();
  EXPECT_EQ(change_colour(changes, 399), kPaper);
  EXPECT_EQ(change_colour(changes, 15), kNotMeasured);
  EXPECT_EQ(change_colour(changes, 0), colour_of_step(0));
  EXPECT_EQ(change_colour(changes, 5 * 20 + 5), colour_of_step(3));
}

}  // namespace
}  // namespace trammel
