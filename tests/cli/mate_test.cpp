/// A plan with a scan of the mate: exit codes, words and files.

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "run_program.hpp"
#include "support/mesh_files.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

std::string place(const Vector3d& p) {
  return "[" + shortest(p.x()) + ", " + shortest(p.y()) + ", " + shortest(p.z()) + "]";
}

class CliMate : public Cli {
 protected:
  /// A plate with two holes of 8.6 mm, its scan, and a frame with two threads 60 mm apart.
  void SetUp() override {
    Cli::SetUp();
    const Mesh part = test::plate(90, 50, 4, {{{15, 20}, 8.6, 64}, {{75, 30}, 8.6, 64}});
    (void)write("part.stl", test::stl_bytes(part));
    test::ScannerSettings settings;
    settings.points = 25000;
    (void)write("scan.ply", test::ply_bytes(test::scan_of(part, settings, Rng(3)).scan));
    const Mesh frame = test::plate(120, 80, 8, {{{20, 30}, 6.8, 64}, {{80, 40}, 6.8, 64}});
    const auto scanned = test::scan_of(frame, settings, Rng(4));
    (void)write("frame.ply", test::ply_bytes(scanned.scan));
    T_scan_frame_ = scanned.T_design_scan.inverse();
  }

  [[nodiscard]] std::string plan(const std::string& scan, const std::string& at) const {
    return "design = \"part.stl\"\n[scan]\nunits = \"mm\"\n"
           "[[hole]]\nname = \"A\"\nat = [15, 20, 4]\nbolt = 8\n"
           "[[hole]]\nname = \"B\"\nat = [75, 30, 4]\nbolt = 8\n"
           "[[mate]]\nscan = \"" +
           scan + "\"\nface = [45, 25, 0]\nat = [" + at + "]\n";
  }
  [[nodiscard]] std::string at(const Vector3d& p) const { return place(T_scan_frame_ * p); }

  Eigen::Isometry3d T_scan_frame_;
};

TEST_F(CliMate, IsNamedWhereverTheAnswerStands) {
  (void)write("part.toml", plan("frame.ply", at({20, 30, 8}) + ", " + at({80, 40, 8})));
  const Finished run = trammel("check part.toml --scan scan.ply");
  EXPECT_EQ(run.code, 0) << run.out << run.err;
  EXPECT_NE(run.err.find("reading frame.ply"), std::string::npos) << run.err;
  EXPECT_NE(run.out.find("Bolts stand as in frame.ply."), std::string::npos) << run.out;
  const auto json = nlohmann::json::parse(text_of(folder_ / "scan-sheet" / "result.json"));
  EXPECT_EQ(json["bolt_ups"][0]["verdict"], "pass");
  EXPECT_EQ(json["bolt_ups"][0]["mate"], "frame.ply");
  EXPECT_EQ(json["mates"][0]["sha256"], json["bolt_ups"][0]["mate_sha256"]);
  EXPECT_EQ(json["mates"][0]["holes"].size(), 2U);
  const std::string page = text_of(folder_ / "scan-sheet" / "sheet.html");
  EXPECT_NE(page.find("measured in frame.ply"), std::string::npos);
}

TEST_F(CliMate, IsReadOnceForManyScansAndSaysTheSame) {
  (void)write("part.toml", plan("frame.ply", at({20, 30, 8}) + ", " + at({80, 40, 8})));
  (void)write("again.ply", text_of(folder_ / "scan.ply"));
  const Finished run = trammel("check part.toml --scan scan.ply again.ply --out all");
  EXPECT_EQ(run.code, 0) << run.out << run.err;
  EXPECT_EQ(run.err.find("reading frame.ply"), run.err.rfind("reading frame.ply")) << run.err;
  const auto json = nlohmann::json::parse(text_of(folder_ / "all" / "again-sheet" / "result.json"));
  EXPECT_EQ(json["bolt_ups"][0]["mate"], "frame.ply");
}

TEST_F(CliMate, HoleThatIsNotThereIsUndecided) {
  (void)write("part.toml", plan("frame.ply", at({20, 30, 8}) + ", " + at({60, 60, 8})));
  const Finished run = trammel("check part.toml --quiet --scan scan.ply");
  EXPECT_EQ(run.code, 2) << run.out << run.err;
  const auto json = nlohmann::json::parse(text_of(folder_ / "scan-sheet" / "result.json"));
  EXPECT_EQ(json["bolt_ups"][0]["verdict"], "undecided");
  EXPECT_FALSE(json["mates"][0]["holes"][1]["measured"]);
}

TEST_F(CliMate, ThatCannotBeReadEndsTheRunWithItsCode) {
  const std::string two = "[0, 0, 0], [60, 10, 0]", rest = " --quiet --scan scan.ply";
  (void)write("none.toml", plan("none.ply", two));
  expect_error("check none.toml" + rest, 66, "none.ply");
  (void)write("letter.ply", "Dear workshop,\nhere is the frame.\n");
  (void)write("letter.toml", plan("letter.ply", two));
  expect_error("check letter.toml" + rest, 65, "letter.ply");
  (void)write("few.toml", plan("frame.ply", "[0, 0, 0]"));
  expect_error("check few.toml" + rest, 65, "few.toml:15:6: expected 2 places for 'at'");
}

}  // namespace
}  // namespace trammel
