#include "trammel/report/overview_tables.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "report/sample_overview.hpp"
#include "trammel/base/text.hpp"

namespace trammel {
namespace {

TEST(OverviewTables, CsvHasALineAScanAndNothingWhereNothingIsKnown) {
  const std::string csv = overview_csv(test::sample_overview());
  EXPECT_EQ(std::count(csv.begin(), csv.end(), '\n'), 6);
  EXPECT_NE(csv.find("\r\n\"b.ply\",\"b.ply-sheet\",fail,1,\"Worst of b.ply\",1.25,0.5,-0.3,0.5,"
                     "\"floor 2\",2.4,0.5,fail,0.93,0.08,\"\"\r\n"),
            std::string::npos)
      << csv;
  EXPECT_NE(csv.find("\r\n\"d.ply\",\"\",,65,\"\",,,,,,,,,,,\"d.ply: expected"), std::string::npos)
      << csv;
  EXPECT_NE(csv.find("\r\n\"e.ply\",\"\",,,\"\",,,,,,,,,,,\"\"\r\n"), std::string::npos) << csv;
}

TEST(OverviewTables, JsonSaysTheSameWithNullForWhatIsNotKnown) {
  const auto json = nlohmann::json::parse(overview_json(test::sample_overview()));
  EXPECT_EQ(json["schema"], 1);
  EXPECT_EQ(json["verdict"], "fail");
  EXPECT_EQ(json["exit_code"], 65);
  EXPECT_EQ(json["plan"], "bracket.toml");
  ASSERT_EQ(json["scans"].size(), 5U);
  const auto& fail = json["scans"][1];
  EXPECT_EQ(fail["file"], "b.ply");
  EXPECT_EQ(fail["folder"], "b.ply-sheet");
  EXPECT_EQ(fail["verdict"], "fail");
  EXPECT_EQ(fail["exit_code"], 1);
  EXPECT_EQ(fail["proud"]["deviation"], 1.25);
  EXPECT_EQ(fail["hole"]["position"], 2.4);
  EXPECT_TRUE(fail["error"].is_null());
  const auto& unread = json["scans"][3];
  EXPECT_EQ(unread["exit_code"], 65);
  for (const char* key : {"folder", "verdict", "proud", "shy", "hole", "seen_fraction", "worst"})
    EXPECT_TRUE(unread[key].is_null()) << key;
  EXPECT_TRUE(json["scans"][4]["exit_code"].is_null());
}

TEST(OverviewTables, OddNamesStayNames) {
  for (const std::string& name : test::odd_names()) {
    Overview overview = test::sample_overview();
    overview.entries[0].scan = name;
    const auto json = nlohmann::json::parse(overview_json(overview));
    EXPECT_EQ(json["scans"][0]["file"], printable(name));
    const std::string csv = overview_csv(overview);
    EXPECT_EQ(csv.find("\n="), std::string::npos) << csv;
    EXPECT_EQ(std::count(csv.begin(), csv.end(), '\n'), 6) << csv;
  }
}

}  // namespace
}  // namespace trammel
