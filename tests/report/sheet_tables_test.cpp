#include <gtest/gtest.h>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "trammel/report/sheet_pages.hpp"

namespace trammel {
namespace {

std::optional<std::string> tables_of(const Inspection& inspection) {
  const SheetContext context(inspection);
  PdfCanvas canvas("t", "");
  draw_table_pages(canvas, context);
  return test::print_of("pdftotext", "-layout", canvas.bytes());
}

TEST(SheetTables, HoldFiguresOfRegionsAndHoles) {
  const auto text = tables_of(test::failing_inspection(3.0));
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (const char* words : {"proud", "shy", "2.40", "8.20 to 8.80", "1.20 +Y", "±0.008 mm",
                            "given in the plan", "90.0 × 60.0 × 55.0 mm"}) {
    EXPECT_NE(text->find(words), std::string::npos) << words << " in " << *text;
  }
}

TEST(SheetTables, TellWhatWentWrongAndWhetherItBoltsUp) {
  Inspection inspection = test::failing_inspection(4.0);
  inspection.verdict.flaws.resize(1);
  inspection.verdict.flaws[0].words = "The wall leans 1.20 mm";
  inspection.verdict.flaws[0].share = 0.75;
  inspection.verdict.bolt_ups.resize(1);
  inspection.verdict.bolt_ups[0].words = "The bolts all go through";
  const auto text = tables_of(inspection);
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("What went wrong, in figures"), std::string::npos) << *text;
  EXPECT_NE(text->find("The bolts all go through"), std::string::npos) << *text;
  EXPECT_NE(text->find("75 %"), std::string::npos) << *text;
}

TEST(SheetTables, TellWhatHeldThePart) {
  Inspection inspection = test::passing_inspection(4.0);
  inspection.alignment.held_by = "datums A (face)";
  inspection.alignment.pairs = {{{1, 2, 3}, {4, 5, 6}, 0.25, 0.5}};
  inspection.alignment.datums = {{"A", "face", {7, 8, 9}, 3, 0.75, 0.125, 3}};
  const auto text = tables_of(inspection);
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (const char* words : {"datums A (face)", "pair 1", "0.25 mm off", "0.50 mm as the part",
                            "datum A", "fixes three of six motions", "75 % of it seen"}) {
    EXPECT_NE(text->find(words), std::string::npos) << words << " in " << *text;
  }
}

TEST(SheetTables, ANoteOfTheRunAndOfItsScanIsToldOnce) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.notes = {"a note of the file", "a note of the run"};
  inspection.source.notes = {"a note of the file"};
  const auto text = tables_of(inspection);
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  const std::size_t first = text->find("a note of the file");
  ASSERT_NE(first, std::string::npos) << *text;
  EXPECT_EQ(text->find("a note of the file", first + 1), std::string::npos) << *text;
  EXPECT_NE(text->find("a note of the run"), std::string::npos) << *text;
}

TEST(SheetTables, WhatWasNotMeasuredSaysSo) {
  const auto text = tables_of(test::undecided_inspection(4.0));
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("not read"), std::string::npos) << *text;
  EXPECT_NE(text->find("None: no patch of the surface"), std::string::npos) << *text;
}

TEST(SheetTables, TellOtherPosesFreedomDoubtsAndNotes) {
  Inspection inspection = test::failing_inspection(5.0);
  inspection.alignment.others.resize(1);
  inspection.alignment.others[0].words = "turned 180° about Z";
  inspection.alignment.free_directions = {"sliding along X"};
  inspection.alignment.doubts = {"little overlap"};
  inspection.design.health.repairs = {"2 flipped triangles turned"};
  const auto text = tables_of(inspection);
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (const char* words : {"turned 180° about Z", "sliding along X", "little overlap",
                            "2 flipped triangles turned", "The scan's unit was taken to be mm."}) {
    EXPECT_NE(text->find(words), std::string::npos) << words << " in " << *text;
  }
}

TEST(SheetTables, HoldDistancesWithWhatWasMeasured) {
  Inspection inspection = test::failing_inspection(4.0);
  inspection.verdict.distances = {test::sample_distance(36.5, Outcome::Fail)};
  inspection.verdict.distances[0].lean_rad = 0.01;
  inspection.verdict.distances[0].reasons = {"36.50 mm is more than 36.26 mm"};
  const auto text = tables_of(inspection);
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (const char* words : {"Distances", "36.06", "35.86 to 36.26", "ISO 2768-m", "36.50", "0.57°",
                            "between the axes, across them", "36.50 mm is more than"}) {
    EXPECT_NE(text->find(words), std::string::npos) << words << " in " << *text;
  }
}

TEST(SheetTables, ListTheOtherHolesOfTheDesign) {
  Inspection inspection = test::passing_inspection(4.0);
  OtherHole hole;
  hole.center_mm = {1.5, 12, 40};
  hole.drawn_diameter_mm = 6.6;
  hole.state = HoleState::Closed;
  hole.reason = "a scanned surface lies across it";
  inspection.verdict.other_holes = {hole};
  const auto text = tables_of(inspection);
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (const char* words : {"listed, not judged", "X 1.5, Y 12.0, Z 40.0", "6.60",
                            "closed: a scanned surface lies across it"}) {
    EXPECT_NE(text->find(words), std::string::npos) << words << " in " << *text;
  }
}

}  // namespace
}  // namespace trammel
