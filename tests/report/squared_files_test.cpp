#include "trammel/report/squared_files.hpp"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "report/pdf_tools.hpp"

namespace trammel {
namespace {

Squared sample_squared() {
  Squared s;
  s.run = {"0.1.0", "2026-11-25", ""};
  s.file = "cart.ply";
  s.sha256 = std::string(64, 'c');
  s.T_square_scan.translation() = Eigen::Vector3d(1, 2, 3);
  s.level.found = s.symmetry.found = true;
  s.level.from = "largest flat face";
  s.level.share = 0.4;
  s.level.rms_mm = 0.1;
  s.level.standard_error_rad = 0.001;
  s.symmetry = s.level;
  s.symmetry.from = "mirror images";
  s.forward_from = "plane of symmetry";
  s.forward_error_rad = 0.001;
  s.certain = true;
  s.sample_mm.resize(3, 400);
  for (int i = 0; i < 400; ++i)
    s.sample_mm.col(i) << i % 20, i / 20, 0;
  s.sample_normals = Eigen::Vector3d(0.5, 0.5, 0.7071).normalized().replicate(1, 400);
  return s;
}

TEST(SquaredJson, HoldsTheMatrixAndErrorsInDegrees) {
  const auto json = nlohmann::json::parse(squared_json(sample_squared()));
  EXPECT_EQ(json["scan_to_square"][2][3], 3.0);
  EXPECT_NEAR(json["level"]["standard_error_deg"].get<double>(), 0.0572958, 1e-6);
  EXPECT_EQ(json["certain"], true);
}

TEST(SquaredJson, GivesNoErrorForWhatWasNotFound) {
  Squared s = sample_squared();
  s.symmetry.found = false;
  s.symmetry.doubt = "no mirror";
  s.forward_error_rad = 0.0;
  const auto json = nlohmann::json::parse(squared_json(s));
  EXPECT_TRUE(json["symmetry"]["standard_error_deg"].is_null());
  EXPECT_TRUE(json["forward"]["standard_error_deg"].is_null());
  EXPECT_EQ(json["symmetry"]["doubt"], "no mirror");
}

TEST(SquaredPdf, IsOnePageWithTheFacts) {
  const auto text = test::print_of("pdftotext", "-layout", squared_pdf(sample_squared()));
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (const char* words : {"Square", "largest flat face", "mirror images", "From above"})
    EXPECT_NE(text->find(words), std::string::npos) << words;
  EXPECT_GT(squared_pdf(Squared{}).size(), 500U);  // nothing known, nothing drawn
}

TEST(SquaredPdf, IsOnePageOfLetterToo) {
  const auto info = test::print_of("pdfinfo", "", squared_pdf(sample_squared(), Paper::Letter));
  if (!info) GTEST_SKIP() << "pdfinfo is not installed";
  EXPECT_NE(info->find("612 x 792 pts (letter)"), std::string::npos) << *info;
  EXPECT_NE(info->find("Pages:           1"), std::string::npos) << *info;
}

TEST(SquaredSummary, BeginsWithWhetherItIsKnown) {
  Squared s = sample_squared();
  EXPECT_EQ(squared_summary(s, "out").rfind("SQUARE  cart.ply", 0), 0U);
  s.certain = false;
  s.notes = {"the front is not known"};
  const std::string text = squared_summary(s, "out");
  EXPECT_EQ(text.rfind("UNDECIDED", 0), 0U);
  EXPECT_NE(text.find("the front is not known"), std::string::npos);
}

}  // namespace
}  // namespace trammel
