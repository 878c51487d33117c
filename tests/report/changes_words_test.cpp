#include "trammel/report/changes_words.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "report/sample_changes.hpp"
#include "trammel/report/html_writer.hpp"

namespace trammel {
namespace {

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

TEST(ChangesWords, SummaryBeginsWithTheVerdictAndFitsATerminal) {
  const std::string text = changes_summary(test::sample_changes(), "out");
  EXPECT_EQ(text.rfind("CHANGED  new.ply beside old <1>.ply", 0), 0U) << text;
  EXPECT_TRUE(holds(text, "proud +0.81 mm at its peak")) << text;
  EXPECT_TRUE(holds(text, "out/sheet.pdf"));
  EXPECT_LE(std::count(text.begin(), text.end(), '\n'), 10);
  EXPECT_EQ(changes_summary(test::sample_unchanged(), "out").rfind("UNCHANGED", 0), 0U);
}

// Two scans in inches were "unchanged" by fractions of them, and nothing told that mm was taken.
TEST(ChangesWords, SummaryTellsUnitsThatWereNotGiven) {
  Changes changes = test::sample_changes();
  changes.old_file.units = {1.0, "mm", "from its size alone", true};
  changes.new_file.units = {1.0, "mm", "as the old scan", true};
  const std::string text = changes_summary(changes, "out");
  EXPECT_TRUE(holds(text, "old in mm (from its size alone), new in mm (as the old scan)")) << text;
  changes.old_file.units.reason = changes.new_file.units.reason = "given";
  EXPECT_FALSE(holds(changes_summary(changes, "out"), "Units"));
}

TEST(ChangesWords, UndecidedNeverReadsAsAFinding) {
  const Changes undecided = test::sample_undecided();
  EXPECT_TRUE(holds(changes_sentence(undecided), "fits as well")) << changes_sentence(undecided);
  const FrontColumn column = changes_column(undecided);
  EXPECT_EQ(column.heading, "What is in doubt");
  for (const FrontEntry& entry : column.entries)
    EXPECT_TRUE(entry.balloon.empty());
}

TEST(ChangesWords, TablesHoldEveryChangeAndBothFiles) {
  HtmlWriter writer;
  write_changes_tables(writer, test::sample_changes());
  const std::string html = writer.html();
  for (const char* words : {"+0.81", "+0.80", "old &lt;1&gt;.ply", "new.ply", "M3C2",
                            "no change is told there", "A note about"}) {
    EXPECT_TRUE(holds(html, words)) << words;
  }
}

TEST(ChangesWords, KeysAreRoundedForReading) {
  const auto keys = changes_keys(test::sample_changes());
  EXPECT_EQ(keys.front().second, "shy > 0.4");
  EXPECT_EQ(keys[1].second, "shy > 0.3");
  EXPECT_EQ(keys.back().second, "unsure");
}

TEST(ChangesWords, PoseThatWasNotFoundIsSaidSo) {
  Changes none = test::sample_undecided();
  none.fit.alignment.found = false;
  EXPECT_TRUE(holds(changes_trust(none).front().second, "not found"));
}

}  // namespace
}  // namespace trammel
