/// The real program: exit codes, what it prints where, the files it leaves.

#include <gtest/gtest.h>
#include <sys/wait.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

namespace trammel {
namespace {

namespace fs = std::filesystem;

const fs::path kDemo = fs::path(TRAMMEL_SOURCE_DIR) / "data/demo";

std::string text_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::stringstream out;
  out << in.rdbuf();
  return out.str();
}

struct Run {
  int code = -1;
  std::string out, err;
};

/// A folder of its own that goes away with the test.
class Cli : public ::testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "trammel-cli-XXXXXX").string();
    ASSERT_NE(mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
  }
  void TearDown() override { fs::remove_all(folder_); }

  [[nodiscard]] Run trammel(const std::string& arguments) const {
    const std::string command = "cd '" + folder_.string() +
                                "' && SOURCE_DATE_EPOCH=0 '" TRAMMEL_PROGRAM "' " + arguments +
                                " >out.txt 2>err.txt </dev/null";
    const int status = std::system(command.c_str());
    Run run;
    run.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    run.out = text_of(folder_ / "out.txt");
    run.err = text_of(folder_ / "err.txt");
    return run;
  }

  [[nodiscard]] fs::path write(const std::string& name, const std::string& text) const {
    std::ofstream(folder_ / name, std::ios::binary) << text;
    return folder_ / name;
  }

  /// One line on stderr, nothing on stdout, no half-written folder left.
  void expect_error(const std::string& arguments, int code, const std::string& mentions) const {
    const Run run = trammel(arguments);
    EXPECT_EQ(run.code, code) << arguments << "\n" << run.err;
    EXPECT_TRUE(run.out.empty()) << run.out;
    EXPECT_NE(run.err.find(mentions), std::string::npos) << run.err;
    EXPECT_EQ(std::count(run.err.begin(), run.err.end(), '\n'), 1) << run.err;
    for (const auto& entry : fs::directory_iterator(folder_)) {
      EXPECT_NE(entry.path().filename().string().front(), '.') << entry.path();
    }
  }

  fs::path folder_;
};

std::string demo(const std::string& plan, const std::string& scan) {
  return "'" + (kDemo / plan).string() + "' --scan '" + (kDemo / scan).string() + "'";
}

TEST_F(Cli, GoodPartPassesAndItsSheetLiesWhereItSays) {
  const Run run = trammel("check " + demo("shelf-bracket.toml", "shelf-bracket-1.ply"));
  EXPECT_EQ(run.code, 0) << run.out << run.err;
  EXPECT_EQ(run.out.rfind("PASS", 0), 0U) << run.out;
  EXPECT_NE(run.err.find("aligning"), std::string::npos);
  const fs::path sheet = folder_ / "shelf-bracket-1-sheet";
  EXPECT_EQ(text_of(sheet / "sheet.pdf").rfind("%PDF", 0), 0U);
  EXPECT_EQ(text_of(sheet / "deviation.ply").rfind("ply\nformat binary_little_endian", 0), 0U);
  const auto result = nlohmann::json::parse(text_of(sheet / "result.json"));
  EXPECT_EQ(result["schema"], 1);
  EXPECT_EQ(result["verdict"], "pass");
  EXPECT_EQ(result["scan"]["unit_scale"], 25.4);  // the scan is stored in inches
  EXPECT_EQ(result["holes"].size(), 3U);
}

TEST_F(Cli, BadPartFailsAndResultIsTheSameOnAnyNumberOfThreads) {
  std::string first;
  for (const std::string threads : {"1", "2", "4"}) {
    const Run run =
        trammel("check --quiet --threads " + threads + " " +
                demo("shelf-bracket.toml", "shelf-bracket-2.ply") + " --out sheet-" + threads);
    EXPECT_EQ(run.code, 1) << run.out << run.err;
    EXPECT_TRUE(run.err.empty()) << run.err;
    EXPECT_LE(std::count(run.out.begin(), run.out.end(), '\n'), 10);
    const std::string result = text_of(folder_ / ("sheet-" + threads) / "result.json");
    ASSERT_FALSE(result.empty());
    if (first.empty()) first = result;
    EXPECT_EQ(result, first);
  }
  EXPECT_EQ(nlohmann::json::parse(first)["verdict"], "fail");
}

TEST_F(Cli, DesignWithoutAPlanIsUndecidedWhenTheBandIsWithinU) {
  const Run run =
      trammel("check --quiet --design '" + (kDemo / "adapter-plate.stl").string() + "' --scan '" +
              (kDemo / "adapter-plate-1.ply").string() + "' --band 0.1 --uncertainty 0.1");
  EXPECT_EQ(run.code, 2) << run.out << run.err;
  EXPECT_EQ(run.out.rfind("UNDECIDED", 0), 0U) << run.out;
}

TEST_F(Cli, LookSaysWhatAFileHolds) {
  const Run run = trammel("look '" + (kDemo / "shelf-bracket.stl").string() + "'");
  EXPECT_EQ(run.code, 0);
  EXPECT_NE(run.out.find("872"), std::string::npos) << run.out;  // triangles
  EXPECT_NE(run.out.find("90"), std::string::npos) << run.out;   // mm along x
}

TEST_F(Cli, HelpShowsAWorkedExampleForEveryCommand) {
  for (const std::string command : {"", "check ", "look "}) {
    const Run run = trammel(command + "--help");
    EXPECT_EQ(run.code, 0);
    EXPECT_NE(run.out.find("Example: trammel"), std::string::npos) << command;
  }
  EXPECT_EQ(trammel("--version").out, "trammel 0.1.0\n");
}

TEST_F(Cli, WrongUseIsExit64) {
  expect_error("", 64, "trammel --help");
  expect_error("chekc", 64, "did you mean 'check'?");
  expect_error("check --wrong", 64, "--wrong");
  expect_error("check --scan a.ply", 64, "--design");
  expect_error("check a.toml --design b.stl --scan a.ply", 64, "both");
  expect_error("check a.toml --scan a.ply --band 1", 64, "--band");
  expect_error("check --design a.stl --scan a.ply --band -1", 64, "--band");
}

TEST_F(Cli, DataThatMakeNoSenseAreExit65) {
  const std::string scan = " --quiet --scan '" + (kDemo / "shelf-bracket-1.ply").string() + "'";
  (void)write("bad.toml", "design = \"x.stl\"\n[band]\nofer = 0.5\n");
  expect_error("check bad.toml" + scan, 65, "bad.toml:3:1");
  (void)write("cut.stl", text_of(kDemo / "shelf-bracket.stl").substr(0, 5000));
  expect_error("check --design cut.stl" + scan, 65, "cut.stl");
  (void)write("letter.ply", "Dear workshop,\nhere is the scan.\n");
  expect_error(
      "check --quiet --design '" + (kDemo / "shelf-bracket.stl").string() + "' --scan letter.ply",
      65, "letter.ply");
}

TEST_F(Cli, WhatIsMissingIsExit66) {
  const std::string scan = " --quiet --scan '" + (kDemo / "shelf-bracket-1.ply").string() + "'";
  expect_error("check none.toml" + scan, 66, "none.toml");
  expect_error("check --design none.stl" + scan, 66, "none.stl");
  expect_error(
      "check --quiet --design '" + (kDemo / "shelf-bracket.stl").string() + "' --scan none.ply", 66,
      "none.ply");
  expect_error("look '" + kDemo.string() + "'", 66, "folder");
}

TEST_F(Cli, FileInTheWayOfTheSheetIsExit73AndStaysAsItWas) {
  (void)write("taken", "mine");
  expect_error(
      "check --quiet " + demo("adapter-plate.toml", "adapter-plate-1.ply") + " --out taken", 73,
      "taken");
  EXPECT_EQ(text_of(folder_ / "taken"), "mine");
}

}  // namespace
}  // namespace trammel
