#include "../../src/read/read_align.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "trammel/read/read_plan.hpp"

namespace trammel {
namespace {

const std::string kHead = "design = \"part.stl\"\n";
const std::string kPairs =
    "[[pair]]\ndesign = [0, 0, 0]\nscan = [1, 2, 3]\n"
    "[[pair]]\ndesign = [90, 0, 0]\nscan = [91, 2, 3]\n"
    "[[pair]]\ndesign = [0, 60, 0]\nscan = [1, 62, 3]\n";
const std::string kDatums =
    "[[datum]]\nlabel = \"C\"\nat = [7, 8, 9]\n"
    "[[datum]]\nlabel = \"A\"\nat = [1, 2, 3]\n"
    "[[datum]]\nlabel = \"B\"\nat = [4, 5, 6]\n";
const std::string kZone = "[[zone]]\nname = \"base\"\nsphere = [[0, 0, 0], 5]\n";

Plan plan_of(const std::string& text) {
  return parse_plan(kHead + text, "part.toml");
}
std::string message_of(const std::string& text) {
  return test::input_error([&] { (void)plan_of(text); });
}

TEST(ReadAlign, TakesBestFitToAllWhenThePlanSaysNothing) {
  const Plan plan = plan_of("");
  EXPECT_EQ(plan.method, AlignMethod::BestFit);
  EXPECT_TRUE(plan.refine);
  EXPECT_EQ(plan.datum_fit, DatumFit::Outer);
  EXPECT_TRUE(plan.fit_on.empty() && plan.fit_off.empty());
}

TEST(ReadAlign, ReadsPairsInTheUnitOfTheScan) {
  const Plan plan =
      plan_of("[scan]\nunits = \"m\"\n[align]\nmethod = \"pairs\"\nrefine = false\n" + kPairs);
  EXPECT_EQ(plan.method, AlignMethod::Pairs);
  EXPECT_FALSE(plan.refine);
  ASSERT_EQ(plan.pairs.size(), 3U);
  EXPECT_EQ(plan.pairs[1].design_mm, Eigen::Vector3d(90, 0, 0));
  EXPECT_EQ(plan.pairs[1].scan, Eigen::Vector3d(91, 2, 3));  // as saved: no unit is known yet
}

TEST(ReadAlign, RefusesPairsThatLeaveAMotionOpenWithTheLine) {
  const std::string method = "[align]\nmethod = \"pairs\"\n";
  EXPECT_TRUE(test::has(message_of(method), "part.toml:3:10: expected three [[pair]] or more"));
  EXPECT_TRUE(
      test::has(message_of(method + kPairs.substr(0, kPairs.rfind("[[pair]]"))), "found 2"));
  const std::string line =
      "[[pair]]\ndesign = [0, 0, 0]\nscan = [0, 0, 0]\n"
      "[[pair]]\ndesign = [50, 0, 0]\nscan = [50, 0, 0]\n"
      "[[pair]]\ndesign = [100, 1, 0]\nscan = [100, 40, 0]\n";
  // 50 mm along and half a millimetre beside: 0.005 of the length.
  EXPECT_TRUE(
      test::has(message_of(method + line), "part.toml:10:1: expected pairs that do not lie in"));
  EXPECT_TRUE(test::has(message_of(method + line), "in the design do"));
  const std::string same_scan =
      "[[pair]]\ndesign = [0, 0, 0]\nscan = [5, 5, 5]\n"
      "[[pair]]\ndesign = [50, 0, 0]\nscan = [5, 5, 5]\n"
      "[[pair]]\ndesign = [0, 90, 0]\nscan = [5, 5, 5]\n";
  EXPECT_TRUE(test::has(message_of(method + same_scan), "in the scan do"));
}

TEST(ReadAlign, ReadsDatumsInTheOrderOfTheirLabels) {
  const Plan plan = plan_of("[align]\nmethod = \"datums\"\nfit = \"least-squares\"\n" + kDatums);
  EXPECT_EQ(plan.datum_fit, DatumFit::LeastSquares);
  ASSERT_EQ(plan.datums.size(), 3U);
  EXPECT_EQ(plan.datums[0].label, "A");
  EXPECT_EQ(plan.datums[0].at_mm, Eigen::Vector3d(1, 2, 3));
  EXPECT_EQ(plan.datums[2].at_mm, Eigen::Vector3d(7, 8, 9));
}

TEST(ReadAlign, WantsThreeDatumsEachOnce) {
  const std::string method = "[align]\nmethod = \"datums\"\n";
  EXPECT_TRUE(test::has(message_of(method), "expected [[datum]] A, B and C"));
  const std::string a = "[[datum]]\nlabel = \"A\"\nat = [1, 2, 3]\n";
  EXPECT_TRUE(test::has(message_of(method + a + a), "found \"A\" twice"));
  EXPECT_TRUE(test::has(message_of(method + "[[datum]]\nlabel = \"D\"\nat = [1, 2, 3]\n"),
                        "part.toml:5:9: expected \"A\", \"B\" or \"C\""));
  EXPECT_TRUE(
      test::has(message_of(method + "[[datum]]\nlabel = \"A\"\n"), "expected 'datum 1.at'"));
}

TEST(ReadAlign, ReadsTheZonesToFitToAndToLeaveOut) {
  const Plan plan = plan_of("[align]\non = [\"base\"]\n" + kZone);
  EXPECT_EQ(plan.fit_on, std::vector<std::string>{"base"});
  EXPECT_TRUE(plan.fit_off.empty());
  EXPECT_EQ(plan_of("[align]\noff = [\"base\"]\n" + kZone).fit_off.size(), 1U);
  EXPECT_TRUE(test::has(message_of("[align]\non = [\"bse\"]\n" + kZone), "did you mean 'base'?"));
  EXPECT_TRUE(test::has(message_of("[align]\non = []\n" + kZone), "found none"));
  EXPECT_TRUE(
      test::has(message_of("[align]\non = \"base\"\n" + kZone), "expected an array of texts"));
  EXPECT_TRUE(test::has(message_of("[align]\non = [1]\n" + kZone), "expected text in 'align.on'"));
}

TEST(ReadAlign, RefusesWhatTheMethodDoesNotUse) {
  for (const char* text : {"[align]\nrefine = true\n", "[align]\nfit = \"outer\"\n",
                           "[align]\nmethod = \"as-scanned\"\non = [\"base\"]\n",
                           "[align]\nmethod = \"datums\"\noff = [\"base\"]\n"}) {
    EXPECT_TRUE(test::has(message_of(text + kZone), "expected align.method = ")) << text;
  }
  EXPECT_TRUE(test::has(message_of(kPairs), "expected align.method = \"pairs\" beside 'pair'"));
  EXPECT_TRUE(test::has(message_of(kDatums), "beside 'datum', found \"best-fit\""));
}

TEST(ReadAlign, RefusesUnknownWordsAndKinds) {
  EXPECT_TRUE(test::has(message_of("[align]\nmethod = \"bestfit\"\n"), "did you mean 'best-fit'?"));
  EXPECT_TRUE(test::has(message_of("[align]\nmethod = \"datums\"\nfit = \"inner\"\n" + kDatums),
                        "expected \"outer\" or \"least-squares\""));
  EXPECT_TRUE(test::has(message_of("[align]\nmethod = \"pairs\"\nrefine = 1\n" + kPairs),
                        "expected true or false for 'align.refine'"));
  EXPECT_TRUE(test::has(message_of("[align]\nmethod = \"pairs\"\n[[pair]]\ndesign = [1, 2]\n"
                                   "scan = [1, 2, 3]\n"),
                        "expected an array of 3 numbers"));
  EXPECT_TRUE(test::has(message_of("[align]\nmethod = \"pairs\"\n[[pair]]\nzzz = 1\n"),
                        "unknown key 'pair 1.zzz'"));
}

}  // namespace
}  // namespace trammel
