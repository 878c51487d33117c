#include "trammel/report/overview.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <iterator>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "report/sample_overview.hpp"
#include "trammel/report/overview_html.hpp"
#include "trammel/report/overview_tables.hpp"

namespace trammel {
namespace {

const Picture kFront{400, 100, std::vector<std::uint8_t>(3 * 400 * 100, 200)};

TEST(Overview, EntryOfAFailedScanTellsItsWorstOnEitherSide) {
  const Inspection inspection = test::failing_inspection(3.0);
  const OverviewEntry entry = overview_entry(inspection, "b.ply", "b-sheet", kFront);
  EXPECT_EQ(entry.state, ScanState::Checked);
  EXPECT_EQ(entry.outcome, Outcome::Fail);
  EXPECT_EQ(entry.code, ExitCode::Fail);
  ASSERT_TRUE(entry.proud.found && entry.shy.found);
  // The upright leans by up to 1.2 mm: proud on one face, shy on the other; cells end below its
  // top.
  EXPECT_NEAR(entry.proud.deviation_mm, 1.2, 0.1);
  EXPECT_NEAR(entry.shy.deviation_mm, -1.2, 0.1);
  EXPECT_EQ(entry.proud.limit_mm, 0.5);
  ASSERT_TRUE(entry.hole.has_value());
  EXPECT_EQ(entry.hole->name, "B");
  EXPECT_EQ(entry.hole->position_mm, inspection.verdict.holes[1].position_mm);
  EXPECT_EQ(entry.worst, findings(inspection).front().title);
  EXPECT_EQ(entry.picture_png.substr(1, 3), "PNG");
}

TEST(Overview, AScanWhosePoseIsInDoubtHasNoWorstReadings) {
  for (int doubt = 0; doubt < 5; ++doubt) {
    Inspection inspection = test::failing_inspection(5.0);
    Alignment& alignment = inspection.alignment;
    if (doubt == 0) alignment.found = false;
    if (doubt == 1) alignment.converged = false;
    if (doubt == 2) alignment.ambiguous = true;
    if (doubt == 3) alignment.doubts = {"slides"};
    if (doubt == 4) alignment.free_directions = {"along X"};
    const OverviewEntry entry = overview_entry(inspection, "b.ply", "b-sheet", kFront);
    EXPECT_FALSE(entry.proud.found || entry.shy.found || entry.hole) << doubt;
  }
}

TEST(Overview, UndecidedSaysWhyAndPassSaysThatNothingIsOut) {
  const Inspection undecided = test::undecided_inspection(5.0);
  EXPECT_EQ(overview_entry(undecided, "c", "c", kFront).worst, undecided.verdict.reasons.front());
  Inspection pass = test::passing_inspection(5.0);
  pass.verdict.regions.clear();
  EXPECT_EQ(overview_entry(pass, "a", "a", kFront).worst, "Nothing is outside its band.");
}

TEST(Overview, PassesOnlyWhenAllWereCheckedAndPassed) {
  Overview overview = test::sample_overview();
  EXPECT_EQ(outcome_of(overview), Outcome::Fail);
  const OverviewEntry pass = overview.entries[0], stopped = overview.entries[3],
                      waiting = overview.entries[4];
  overview.entries = {pass, pass};
  EXPECT_EQ(outcome_of(overview), Outcome::Pass);
  overview.entries = {pass, stopped};
  EXPECT_EQ(outcome_of(overview), Outcome::Undecided);
  overview.entries = {pass, waiting};
  EXPECT_EQ(outcome_of(overview), Outcome::Undecided);
  overview.entries.clear();
  EXPECT_EQ(outcome_of(overview), Outcome::Undecided);
}

TEST(Overview, ExitCodeIsTheWorst) {
  Overview overview;
  const auto code_with = [&](ExitCode code) {
    OverviewEntry entry;
    entry.state = code < ExitCode::Usage ? ScanState::Checked : ScanState::Stopped;
    entry.code = code;
    overview.entries.push_back(entry);
    return worst_code(overview);
  };
  EXPECT_EQ(worst_code(overview), ExitCode::Undecided);
  EXPECT_EQ(code_with(ExitCode::Pass), ExitCode::Pass);
  EXPECT_EQ(code_with(ExitCode::Undecided), ExitCode::Undecided);
  EXPECT_EQ(code_with(ExitCode::Fail), ExitCode::Fail);
  EXPECT_EQ(code_with(ExitCode::Undecided), ExitCode::Fail);
  EXPECT_EQ(code_with(ExitCode::InputMissing), ExitCode::InputMissing);
  EXPECT_EQ(code_with(ExitCode::BadInput), ExitCode::InputMissing);
  EXPECT_EQ(code_with(ExitCode::CannotWrite), ExitCode::CannotWrite);
  Overview waiting = test::sample_overview();
  waiting.entries = {waiting.entries[0], waiting.entries[4]};
  EXPECT_EQ(worst_code(waiting), ExitCode::Undecided);
}

TEST(Overview, CountsEveryScanOnce) {
  EXPECT_EQ(overview_sentence(test::sample_overview()),
            "5 scans: 1 pass, 1 fail, 1 undecided, 1 could not be checked and 1 not checked yet.");
}

TEST(Overview, TextHasALineAScan) {
  const std::string text = overview_text(test::sample_overview(), "out");
  EXPECT_EQ(text.rfind("FAIL  Toolbox bracket, left: 5 scans", 0), 0U) << text;
  EXPECT_NE(text.find("\n  fail: b.ply: Worst of b.ply\n"), std::string::npos) << text;
  EXPECT_NE(text.find("\n  no sheet: d.ply: expected points"), std::string::npos) << text;
  EXPECT_NE(text.find("\n  Overview: out/overview.html\n"), std::string::npos) << text;
}

TEST(Overview, WritesThreeFilesAndTouchesNothingElse) {
  const test::ScratchFolder scratch;
  std::ofstream(scratch.path() / "notes.txt") << "mine";
  const Overview overview = test::sample_overview();
  write_overview(overview, scratch.path());
  write_overview(overview, scratch.path());  // over its own files
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(scratch.path()), {}), 4);
  std::ifstream in(scratch.path() / "overview.html", std::ios::binary);
  EXPECT_EQ(std::string(std::istreambuf_iterator<char>(in), {}), overview_html(overview));
}

TEST(Overview, TextOfManyScansTellsTheWorstInTenLines) {
  Overview overview;
  for (int i = 0; i < 20; ++i) {
    OverviewEntry entry;
    entry.scan = "scan-" + std::to_string(i) + ".ply";
    entry.state = ScanState::Checked;
    entry.outcome = i == 13 ? Outcome::Fail : Outcome::Pass;
    entry.code = exit_code_of(*entry.outcome);
    overview.entries.push_back(entry);
  }
  const std::string text = overview_text(overview, "out");
  EXPECT_LE(std::count(text.begin(), text.end(), '\n'), 10);
  EXPECT_NE(text.find("fail: scan-13.ply"), std::string::npos) << text;
  EXPECT_NE(text.find("and 13 more, none of them worse"), std::string::npos) << text;
}

}  // namespace
}  // namespace trammel
