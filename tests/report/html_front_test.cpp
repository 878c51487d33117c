#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/report/html_parts.hpp"

namespace trammel {
namespace {

TEST(HtmlFront, MarksDifferInShapeNotInColourAlone) {
  EXPECT_NE(mark_html(Outcome::Pass).find("<circle"), std::string::npos);
  // Eight corners and four: path commands of the two outlines.
  EXPECT_NE(mark_html(Outcome::Fail).find("H10.3L25-10.3V10.3L10.3 25H-10.3L"), std::string::npos);
  EXPECT_NE(mark_html(Outcome::Undecided).find("M0-25L25 0L0 25L-25 0Z"), std::string::npos);
}

TEST(HtmlFront, FindingsAreButtonsThatCarryTheirMark) {
  const Inspection inspection = test::failing_inspection(4.0);
  const std::string html = columns_html(SheetContext(inspection));
  EXPECT_NE(html.find("data-mark=\"region-1\"><span class=\"balloon \">1</span>"), html.npos)
      << html;
  EXPECT_NE(html.find("data-mark=\"hole-1\"><span class=\"balloon fail\">B</span>"), html.npos)
      << html;
  EXPECT_NE(html.find("<li class=\"entry\"><span><strong>1. Bend the upright back"), html.npos)
      << html;
}

TEST(HtmlFront, WhatWentWrongAndBoltUpAreSectionsOnlyWhereThereIsSomethingToTell) {
  Inspection inspection = test::failing_inspection(6.0);
  EXPECT_EQ(whole_part_html(SheetContext(inspection)), "");
  Flaw flaw;
  flaw.words = "The wall <leans>: much";
  flaw.share = 0.5;
  inspection.verdict.flaws = {flaw};
  std::string html = whole_part_html(SheetContext(inspection));
  EXPECT_NE(html.find("<h2>What went wrong</h2>"), html.npos) << html;
  EXPECT_NE(html.find("data-mark=\"flaw-0\"><span><strong>The wall &lt;leans&gt;</strong>"),
            html.npos)
      << html;
  EXPECT_EQ(html.find("bolt"), html.npos) << html;
  BoltUp up;
  up.outcome = Outcome::Fail;
  up.openings = {{"B", 9.6, 0.6, Eigen::Vector3d::UnitY()}};
  inspection.verdict.bolt_ups = {up};
  html = whole_part_html(SheetContext(inspection));
  EXPECT_NE(html.find("<span class=\"answer\"><svg"), html.npos) << html;
  EXPECT_NE(html.find("data-mark=\"hole-1\"><span class=\"balloon fail\">B</span>"), html.npos)
      << html;
}

TEST(HtmlFront, NamesScanDateAndPlanOrTheBandGiven) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.source.file = "a&b.ply";
  EXPECT_EQ(origin_html(SheetContext(inspection)),
            "scan a&amp;b.ply, 25 Nov 2026<br>plan toolbox-bracket.toml");
  inspection.plan.file.clear();
  const std::string html = origin_html(SheetContext(inspection));
  EXPECT_NE(html.find("command line: \u00b10.50 mm"), html.npos) << html;
  inspection.plan.checked_by = "<b>me";
  const std::string named = origin_html(SheetContext(inspection));
  EXPECT_NE(named.find("<br>checked by &lt;b&gt;me"), named.npos) << named;
}

}  // namespace
}  // namespace trammel
