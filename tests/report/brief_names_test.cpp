#include "trammel/report/brief_names.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/report/front_words.hpp"
#include "trammel/report/report.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

TEST(BriefNames, OnlyLongNamesAreCutWhereverTheyStand) {
  Verdict verdict;
  verdict.holes.resize(2);
  verdict.holes[0].name = "floor";
  verdict.holes[1].name = std::string(150, 'x') + std::string(150, 'y');
  const std::string text =
      "Hole " + verdict.holes[1].name + ": move " + verdict.holes[1].name + " to floor";
  const std::string brief = std::string(19, 'x') + "…" + std::string(20, 'y');
  EXPECT_EQ(with_brief_names(verdict, text), "Hole " + brief + ": move " + brief + " to floor");
}

// The fault stood behind the name, and was cut off with it.
TEST(BriefNames, WhatIsSaidOfALongNameIsStillThere) {
  Inspection inspection = test::failing_inspection(6.0);
  const std::string name = "Hole " + std::string(295, 'x');
  for (HoleCheck& check : inspection.plan.holes)
    if (check.name == "B") check.name = name;
  for (HoleResult& hole : inspection.verdict.holes)
    if (hole.name == "B") hole.name = name;
  inspection.verdict.actions = {name + " sits 1.20 mm towards +Y: move it"};
  EXPECT_LE(verdict_sentence(inspection).size(), 200U) << verdict_sentence(inspection);
  const SheetContext context(inspection);
  EXPECT_NE(right_column(context).entries[0].title.find("sits 1.20 mm"), std::string::npos);
  bool said = false;
  for (const FrontEntry& entry : left_column(context).entries)
    said = said || (entry.title.find("sits 1.2 mm towards +Y") != std::string::npos &&
                    entry.title.size() < 100);
  EXPECT_TRUE(said);
  const std::string summary = summary_text(inspection, "out");
  EXPECT_EQ(summary.find(name), std::string::npos) << summary;
}

}  // namespace
}  // namespace trammel
