#include "trammel/report/slot_tables.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/report/csv_tables.hpp"
#include "trammel/report/feature_tables.hpp"

namespace trammel {
namespace {

/// Keeps all words, one piece a line, and how wide a table is.
class SlotPieces : public SheetWriter {
 public:
  void heading(const std::string& words, double) override { text += words + "\n"; }
  void paragraph(const std::string& words) override { text += words + "\n"; }
  void facts(const std::vector<Fact>&) override {}
  void table(const std::vector<TableColumn>& columns, const std::vector<TableRow>& rows) override {
    width = 0.0;
    for (const TableColumn& column : columns)
      width += column.width;
    for (const TableRow& row : rows) {
      EXPECT_EQ(row.size(), columns.size());
      for (const TableCell& cell : row)
        text += cell.words + "|";
      text += "\n";
    }
  }
  std::string text;
  double width = 0.0;
};

Inspection with_slots() {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.plan.slots = {{"left", {30, 20, 3}, 0.5, Limits{7.9, 8.2}, Limits{19.8, 20.2}}};
  SlotResult failed = test::sample_slot(Outcome::Fail);
  failed.reasons = {"position 1.10 mm is more than 0.50 mm"};
  inspection.verdict.slots = {failed};
  SlotResult closed = test::sample_slot(Outcome::Listed);
  closed.name.clear();
  closed.state = HoleState::Closed;
  closed.width_mm.reset();
  closed.length_mm.reset();
  closed.position_mm.reset();
  closed.offset_mm.reset();
  closed.turn_rad.reset();
  closed.reasons = {"a scanned surface lies across it"};
  inspection.verdict.other_slots = {closed};
  return inspection;
}

TEST(SlotTables, HoldFiguresLimitsAndReasons) {
  const Inspection inspection = with_slots();
  const SheetContext context(inspection);
  SlotPieces pieces;
  write_slot_table(pieces, context);
  EXPECT_LE(pieces.width, 523.0);  // as wide as the other tables
  write_other_slots(pieces, context);
  EXPECT_LE(pieces.width, 523.0);
  for (const char* words :
       {"Slots\nleft|1.10|0.50|0.50 +Y|+0.57\u00b0|8.05|7.90 to 8.20|20.40|19.80 to 20.20|Fail|",
        "left: should be at X 30.0, Y 20.0, Z 1.5, drawn 8.00 \u00d7 20.00 mm; position 1.10 mm is "
        "more than 0.50 mm.",
        "Other slots of the design: listed, not judged",
        "X 30.0, Y 20.0, Z 1.5|8.00 \u00d7 20.00|\u2013|\u2013|\u2013|closed: a scanned surface "
        "lies across it|"}) {
    EXPECT_NE(pieces.text.find(words), std::string::npos) << words << " in\n" << pieces.text;
  }
}

TEST(SlotTables, SayNothingWhereThereAreNone) {
  const Inspection inspection = test::passing_inspection(6.0);
  const SheetContext context(inspection);
  SlotPieces pieces;
  write_slot_table(pieces, context);
  write_other_slots(pieces, context);
  EXPECT_EQ(pieces.text, "");
}

TEST(SlotTables, StandAmongTheTablesOfFeatures) {
  const Inspection inspection = with_slots();
  SlotPieces pieces;
  write_feature_tables(pieces, SheetContext(inspection));
  EXPECT_LT(pieces.text.find("Holes\n"), pieces.text.find("Slots\n"));
  EXPECT_NE(pieces.text.find("Other slots"), std::string::npos);
}

TEST(SlotTables, AreACsvToo) {
  const std::string csv = slots_csv(with_slots());
  EXPECT_EQ(csv.substr(0, 11), "name,state,");
  EXPECT_NE(csv.find("\"left\",measured,30,20,1.5,8,20,1.1,0.5,0,0.5,0,0.57"), std::string::npos)
      << csv;
  EXPECT_NE(csv.find(",8.05,7.9,8.2,20.4,19.8,20.2,100,\"position 1.10 mm is more than 0.50 mm\","
                     "fail\r\n"),
            std::string::npos)
      << csv;
  EXPECT_NE(csv.find("\"\",closed,30,20,1.5,8,20,,,,,,,,,,,,,100,"), std::string::npos) << csv;
}

}  // namespace
}  // namespace trammel
