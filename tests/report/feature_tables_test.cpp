#include "trammel/report/feature_tables.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

/// Keeps all words, one piece a line.
class Words : public SheetWriter {
 public:
  void heading(const std::string& words, double) override { text += words + "\n"; }
  void paragraph(const std::string& words) override { text += words + "\n"; }
  void facts(const std::vector<Fact>& facts) override {
    for (const Fact& fact : facts)
      text += fact.name + "|" + fact.words + "\n";
  }
  void table(const std::vector<TableColumn>&, const std::vector<TableRow>& rows) override {
    for (const TableRow& row : rows) {
      for (const TableCell& cell : row)
        text += cell.words + "|";
      text += "\n";
    }
  }
  std::string text;
};

std::string words_of(const Inspection& inspection) {
  Words words;
  write_feature_tables(words, SheetContext(inspection));
  return words.text;
}

TEST(FeatureTables, TellWhereAMatesBoltsStandAndWhatWasNotMeasured) {
  Inspection inspection = test::passing_inspection(6.0);
  EXPECT_EQ(words_of(inspection).find("Where the bolts"), std::string::npos);
  Mate mate = test::frame_mate();
  mate.group = "roof";
  mate.uncertainty_mm = 0.0605;
  mate.holes[0].center_mm = {30.2, 20.1, 6.0};
  mate.holes[0].diameter_mm = 6.8;
  mate.holes[0].center_error_mm = 0.0123;
  mate.holes[0].is_stud = mate.holes[0].by_wall = true;
  mate.holes[1].at_mm = {90, 50, 6};
  inspection.mates = {mate};
  const std::string text = words_of(inspection);
  for (const char* words :
       {"Where the bolts of roof stand: measured in frame.ply",
        "X 30.2, Y 20.1, Z 6.0|0.012|6.80|stud, "
        "by its wall|",
        "X 90.0, Y 50.0, Z 6.0|\u2013|\u2013|\u2013|not measured|",
        "Near X 90.0, Y 50.0, Z 6.0: no flat face was seen about it", "SHA-256 0123abcd"}) {
    EXPECT_NE(text.find(words), std::string::npos) << words << " in\n" << text;
  }
}

TEST(FeatureTables, HoldFormsWithTheirLimitsAndWhyOneIsOpen) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.verdict.forms = {test::sample_form(FormKind::Flatness, 0.1, Outcome::Pass),
                              test::sample_form(FormKind::Thickness, {}, Outcome::Undecided)};
  const std::string text = words_of(inspection);
  for (const char* words : {"Form of faces, angles and walls",
                            "seat|flatness|up to 0.20 mm|ISO 2768-K|0.10 mm|0.07 mm|Pass|",
                            "seat|thickness|2.70 mm to 3.30 mm|\u2013|not read|\u2013|Undecided|",
                            "; the face at (50.0, 30.0, 3.0): only 0 % of it was seen."}) {
    EXPECT_NE(text.find(words), std::string::npos) << words << " in\n" << text;
  }
}

TEST(FeatureTables, TellOfWhatTheyCouldNotHold) {
  Inspection inspection = test::passing_inspection(6.0);
  Mate mate = test::frame_mate();
  mate.holes.resize(kMostTableRows, mate.holes[0]);
  inspection.mates = {mate};
  EXPECT_EQ(words_of(inspection).find("more, in result.json"), std::string::npos);
  inspection.mates[0].holes.push_back(mate.holes[0]);
  EXPECT_NE(words_of(inspection).find("And 1 more, in result.json"), std::string::npos);
}

TEST(FeatureTables, SayNothingWhereThePlanNamesNothing) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.verdict.holes.clear();
  inspection.verdict.distances.clear();
  inspection.verdict.other_holes.clear();
  inspection.verdict.bolt_ups.clear();
  EXPECT_EQ(words_of(inspection), "");
}

}  // namespace
}  // namespace trammel
