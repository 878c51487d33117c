/// The real program: exit codes, what it prints where, the files it leaves.

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <string>

#include "run_program.hpp"
#include "support/long_run.hpp"

namespace trammel {
namespace {

TEST_F(Cli, GoodPartPassesAndItsSheetLiesWhereItSays) {
  const Finished run = trammel("check " + demo("shelf-bracket.toml", "shelf-bracket-1.ply"));
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

/// What the truth beside a demo scan says under `expected`.
std::string expected_verdict(const std::string& scan) {
  const std::string truth = text_of(kDemo / (scan + ".truth.toml"));
  const std::string key = "\nexpected = \"";
  const std::size_t from = truth.find(key) + key.size();
  return truth.substr(from, truth.find('"', from) - from);
}

TEST_F(Cli, EveryDemoScanGetsTheVerdictThatItsTruthExpects) {
  const std::map<std::string, int> code_of = {{"pass", 0}, {"fail", 1}, {"undecided", 2}};
  for (const std::string& name : test::some_of<std::string>(
           {"lamp-housing-1", "lamp-housing-2", "adapter-plate-1", "shelf-bracket-2"}, 1)) {
    const std::string expected = expected_verdict(name + ".ply");
    ASSERT_EQ(code_of.count(expected), 1U) << name;
    const std::string plan = name.substr(0, name.rfind('-')) + ".toml";
    const Finished run = trammel("check --quiet " + demo(plan, name + ".ply"));
    EXPECT_EQ(run.code, code_of.at(expected)) << name << "\n" << run.out << run.err;
    const fs::path sheet = folder_ / (name + "-sheet");
    EXPECT_EQ(nlohmann::json::parse(text_of(sheet / "result.json"))["verdict"], expected) << name;
    EXPECT_EQ(text_of(sheet / "sheet.pdf").rfind("%PDF", 0), 0U) << name;
    EXPECT_EQ(text_of(sheet / "deviation.ply").rfind("ply\n", 0), 0U) << name;
  }
}

/// Every file of a sheet, by name.
std::map<std::string, std::string> files_of(const fs::path& sheet) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(sheet))
    if (entry.is_regular_file())
      files[fs::relative(entry.path(), sheet).string()] = text_of(entry.path());
  return files;
}

/// Compiles a locale whose decimal sign is a comma, where the machine has what that takes.
std::string comma_locale(const fs::path& folder) {
  const std::string made = (folder / "de_DE.UTF-8").string();
  const int status = std::system(
      ("localedef -i de_DE -f UTF-8 '" + made + "' >'" + folder.string() + "/said' 2>&1").c_str());
  return "LOCPATH='" + folder.string() + "' LC_ALL=de_DE.UTF-8 LC_NUMERIC=de_DE.UTF-8 " +
         (status == 0 ? "LANG=de_DE.UTF-8 " : "");
}

TEST_F(Cli, EveryFileIsTheSameOnAnyNumberOfThreadsInAnyLocaleAndWhenRepeated) {
  const std::string check =
      " check --quiet " + demo("shelf-bracket.toml", "shelf-bracket-2.ply") + " --out sheet";
  const fs::path locales = folder_ / "locales";
  fs::create_directory(locales);
  std::map<std::string, std::string> first;
  std::string said;
  const auto expect_same = [&](const std::string& options, const std::string& environment) {
    const Finished run = trammel(options + check, environment);
    EXPECT_EQ(run.code, 1) << run.out << run.err;
    EXPECT_TRUE(run.err.empty()) << run.err;
    EXPECT_LE(std::count(run.out.begin(), run.out.end(), '\n'), 10);
    auto files = files_of(folder_ / "sheet");
    if (first.empty()) {
      first = files;
      said = run.out;
    }
    EXPECT_EQ(run.out, said);
    ASSERT_EQ(files.size(), first.size());
    for (const auto& [name, bytes] : files)
      EXPECT_TRUE(first.at(name) == bytes) << name << " differs: " << options << environment;
  };
  expect_same("--threads 1", "");
  expect_same("--threads=4", comma_locale(locales));
  if (test::is_long_run()) {
    expect_same("--threads 2", "");
    expect_same("--threads 2", "LANG=fr_FR LC_ALL=fr_FR.UTF-8 ");
    expect_same("", comma_locale(locales));
  }
  ASSERT_EQ(first.count("sheet.pdf") + first.count("sheet.html") + first.count("result.json"), 3U);
  EXPECT_EQ(nlohmann::json::parse(first.at("result.json"))["verdict"], "fail");
}

TEST_F(Cli, JsonOnStdoutIsResultJsonAndNothingElse) {
  if (!test::is_long_run()) {
    GTEST_SKIP() << "CliBar.SpeaksAscii… and Cli.ChangesOfAScanWithItself… try it; ./dev prove "
                    "tests runs this one";
  }
  const Finished run = trammel("check --quiet --json - " +
                               demo("adapter-plate.toml", "adapter-plate-1.ply") + " --out sheet");
  EXPECT_EQ(run.code, 0) << run.err;
  EXPECT_TRUE(run.err.empty()) << run.err;
  EXPECT_FALSE(run.out.empty());
  EXPECT_EQ(run.out, text_of(folder_ / "sheet/result.json"));
}

TEST_F(Cli, DesignWithoutAPlanIsUndecidedWhenTheBandIsWithinU) {
  const Finished run =
      trammel("check --quiet --design '" + (kDemo / "shelf-bracket.stl").string() + "' --scan '" +
              (kDemo / "shelf-bracket-1.ply").string() + "' --band 0.1 --uncertainty 0.1");
  EXPECT_EQ(run.code, 2) << run.out << run.err;
  EXPECT_EQ(run.out.rfind("UNDECIDED", 0), 0U) << run.out;
}

std::string wing(const std::string& which) {
  return "'" + (kDemo / ("wing-" + which + ".ply")).string() + "'";
}

TEST_F(Cli, ChangesOfTheDemoPanelAreItsRepair) {
  std::string first;
  for (const std::string& threads : test::some_of<std::string>({"2", "1"}, 1)) {
    const Finished run = trammel("changes " + wing("before") + " " + wing("after") + " --threads " +
                                 threads + " --out wing" + threads);
    EXPECT_EQ(run.code, 1) << run.out << run.err;
    EXPECT_EQ(run.out.rfind("CHANGED", 0), 0U) << run.out;
    EXPECT_NE(run.err.find("measuring change"), std::string::npos) << run.err;
    const std::string result = text_of(folder_ / ("wing" + threads) / "result.json");
    if (first.empty()) first = result;
    EXPECT_EQ(result, first);
  }
  const auto result = nlohmann::json::parse(first);
  EXPECT_EQ(result["verdict"], "changed");
  ASSERT_EQ(result["changes"].size(), 3U);  // dent, bracket, flange
  for (const auto& change : result["changes"])
    EXPECT_EQ(change["kind"], "proud");
  EXPECT_EQ(text_of(folder_ / "wing2/sheet.pdf").rfind("%PDF", 0), 0U);
}

TEST_F(Cli, ChangesOfAScanWithItselfAreNone) {
  const Finished run =
      trammel("changes --quiet --json - " + wing("after") + " " + wing("after") + " --out none");
  EXPECT_EQ(run.code, 0) << run.out << run.err;
  EXPECT_TRUE(run.err.empty()) << run.err;
  EXPECT_EQ(run.out, text_of(folder_ / "none/result.json"));
}

TEST_F(Cli, ChangesOfTwoDifferentThingsAreUndecided) {
  const Finished run = trammel("changes --quiet " + wing("before") + " '" +
                               (kDemo / "shelf-bracket-2.ply").string() + "' --units mm");
  EXPECT_EQ(run.code, 2) << run.out << run.err;
  EXPECT_EQ(run.out.rfind("UNDECIDED", 0), 0U) << run.out;
}

TEST_F(Cli, ChangesRefuseWhatMakesNoSense) {
  expect_error("changes " + wing("before"), 64, "new");
  expect_error("changes " + wing("before") + " " + wing("after") + " --least 0", 64, "--least");
  expect_error("changes --quiet none.ply " + wing("after"), 66, "none.ply");
  (void)write("letter.ply", "Dear workshop,\nhere is the scan.\n");
  expect_error("changes --quiet " + wing("before") + " letter.ply", 65, "letter.ply");
  (void)write("taken", "mine");
  expect_error("changes --quiet " + wing("before") + " " + wing("after") + " --out taken", 73,
               "taken");
  EXPECT_EQ(text_of(folder_ / "taken"), "mine");
}

TEST_F(Cli, LightenWritesFewerTrianglesAndSaysHowFarTheyStray) {
  const std::string plate = "'" + (kDemo / "adapter-plate-1.ply").string() + "'";
  const Finished run = trammel("lighten " + plate + " --within 0.05 --out light.stl");
  EXPECT_EQ(run.code, 0) << run.err;
  EXPECT_NE(run.out.find("proven at most 0.0"), std::string::npos) << run.out;
  EXPECT_EQ(fs::file_size(folder_ / "light.stl") % 50, 84 % 50);
  // 51,678 triangles with noise of 0.02 mm; 50 bytes each.
  EXPECT_LT(fs::file_size(folder_ / "light.stl"), 84U + 50U * 40'000U);
  const Finished split = trammel("lighten --quiet " + plate + " --within 0.05 --split --out p.ply");
  EXPECT_EQ(split.code, 0) << split.err;
  EXPECT_TRUE(split.err.empty());
  EXPECT_TRUE(fs::exists(folder_ / "p-1.ply"));
  EXPECT_FALSE(fs::exists(folder_ / "p-2.ply"));
  const Finished faces = trammel("lighten --quiet " + plate + " --within 0.05 --faces --out f.ply");
  EXPECT_EQ(faces.code, 0) << faces.err;
  EXPECT_TRUE(fs::exists(folder_ / "f-3.ply"));  // two large faces, the outline, holes
}

TEST_F(Cli, LightenRefusesWhatMakesNoSense) {
  const std::string plate = "'" + (kDemo / "adapter-plate-1.ply").string() + "'";
  expect_error("lighten " + plate, 64, "--within");
  expect_error("lighten " + plate + " --within 0", 64, "--within");
  expect_error("lighten --quiet '" + (kDemo / "wing-after.ply").string() + "' --within 0.1", 65,
               "triangles");
  expect_error("lighten --quiet none.stl --within 0.1", 66, "none.stl");
  expect_error("lighten --quiet " + plate + " --within 0.1 --out /proc/light.ply", 73, "/proc");
  (void)write("scan.ply", text_of(kDemo / "adapter-plate-1.ply"));
  expect_error("lighten --quiet scan.ply --within 0.1 --out scan.ply", 73, "scan.ply");
  expect_error("lighten --quiet " + plate + " --within 0.1 --out light.off", 64, "light.off");
  // Its first piece would take the place of the scan.
  (void)write("part-1.ply", text_of(kDemo / "adapter-plate-1.ply"));
  expect_error("lighten --quiet part-1.ply --within 0.1 --split --out part.ply", 73, "part-1.ply");
  EXPECT_EQ(text_of(folder_ / "part-1.ply"), text_of(kDemo / "adapter-plate-1.ply"));
}

TEST_F(Cli, SquareWritesTheScanTheMatrixAndThePage) {
  const std::string plate = "'" + (kDemo / "adapter-plate-1.ply").string() + "'";
  const Finished run = trammel("square " + plate + " --out square");
  EXPECT_EQ(run.code, 2) << run.out << run.err;  // nobody said where its front is
  EXPECT_EQ(run.out.rfind("UNDECIDED", 0), 0U) << run.out;
  const auto json = nlohmann::json::parse(text_of(folder_ / "square/square.json"));
  EXPECT_EQ(json["scan_to_square"].size(), 4U);
  EXPECT_EQ(text_of(folder_ / "square/square.pdf").rfind("%PDF", 0), 0U);
  EXPECT_EQ(text_of(folder_ / "square/squared.ply").rfind("ply\n", 0), 0U);
}

TEST_F(Cli, SquareRefusesWhatMakesNoSense) {
  expect_error("square", 64, "scan");
  expect_error("square --quiet " + wing("after") + " --up 1,2", 64, "--up");
  expect_error("square --quiet " + wing("after") + " --forward 1,2,3:x", 64, "--forward");
  expect_error("square --quiet " + wing("after") + " --origin 1e308,0,0", 64, "--origin");
  expect_error("square --quiet none.ply", 66, "none.ply");
  (void)write("taken", "mine");
  expect_error("square --quiet " + wing("after") + " --out taken", 73, "taken");
}

TEST_F(Cli, LookSaysOfEveryDemoFileWhatItHolds) {
  for (const fs::directory_entry& entry : fs::directory_iterator(kDemo)) {
    const std::string ending = entry.path().extension().string();
    if (ending != ".stl" && ending != ".ply") continue;
    const Finished run = trammel("look '" + entry.path().string() + "'");
    EXPECT_EQ(run.code, 0) << run.err;
    EXPECT_TRUE(run.err.empty()) << run.err;
    EXPECT_EQ(run.out.rfind(entry.path().filename().string() + "\n", 0), 0U) << run.out;
    for (const std::string word : {"format", "points", "size", "unit"})
      EXPECT_NE(run.out.find("\n  " + word + " "), std::string::npos) << word << "\n" << run.out;
  }
}

TEST_F(Cli, LookSaysWhatAFileHolds) {
  const Finished run = trammel("look '" + (kDemo / "shelf-bracket.stl").string() + "'");
  EXPECT_EQ(run.code, 0);
  EXPECT_NE(run.out.find("872"), std::string::npos) << run.out;  // triangles
  EXPECT_NE(run.out.find("90"), std::string::npos) << run.out;   // mm along x
}

TEST_F(Cli, HelpShowsAWorkedExampleForEveryCommand) {
  for (const std::string command : {"", "changes ", "check ", "lighten ", "look ", "square "}) {
    const Finished run = trammel(command + "--help");
    EXPECT_EQ(run.code, 0);
    EXPECT_NE(run.out.find("Example: trammel"), std::string::npos) << command;
  }
  EXPECT_EQ(trammel("--version").out, "trammel " TRAMMEL_VERSION "\n");
}

TEST_F(Cli, WrongUseIsExit64) {
  expect_error("", 64, "trammel --help");
  expect_error("chekc", 64, "did you mean 'check'?");
  expect_error("paint", 64, "expected a command, found 'paint'");
  expect_error("check --design b.stl --scan a.ply --wrong", 64, "--wrong");
  expect_error("look", 64, "files");
  expect_error(
      "check a.toml b.toml --scan a.ply", 64,
      "expected nothing more for 'trammel check', found 'b.toml'. Run 'trammel check --help'");
  expect_error("check a.toml --sacn a.ply", 64, "found '--sacn', did you mean '--scan'?");
  expect_error("check a.toml --scan", 64, "--scan: expected a value after it, found none");
  expect_error("check a.toml --scan a.ply --paper a3", 64,
               "--paper: expected a value in {a4,letter}, found 'a3'");
  expect_error("--quiet", 64, "expected a command, found none");
  EXPECT_NE(trammel("--help").out.find("70 a fault of trammel"), std::string::npos);
  expect_error("look --threads 0 a.ply", 64, "--threads");
  expect_error("check a.toml", 64, "--scan");
  expect_error("check --scan a.ply", 64, "--design");
  expect_error("check a.toml --design b.stl --scan a.ply", 64, "both");
  expect_error("check a.toml --scan a.ply --band 1", 64, "--band");
  expect_error("check a.toml --scan a.ply --uncertainty 0.1", 64, "--uncertainty");
  for (const char* number : {"-1", "0", "nan", "inf", "1e300", "0,5"}) {
    expect_error(std::string("check --design a.stl --scan a.ply --band ") + number, 64, "--band");
    expect_error(std::string("lighten a.stl --within ") + number, 64, "--within");
    expect_error(std::string("changes a.ply b.ply --least ") + number, 64, "--least");
    if (std::string(number) == "0") continue;
    expect_error(std::string("check --design a.stl --scan a.ply --uncertainty ") + number, 64,
                 "--uncertainty");
    expect_error(std::string("changes a.ply b.ply --uncertainty ") + number, 64, "--uncertainty");
  }
  expect_error("check --design a.stl --scan a.ply --json out.json", 64, "--json");
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
  expect_error("check --quiet --design '" + (kDemo / "shelf-bracket.stl").string() + "' --scan '" +
                   kDemo.string() + "'",
               66, "folder");
}

TEST_F(Cli, InputsAreNeverTakenForTheFolderOfTheSheet) {
  (void)write("scan.ply", text_of(kDemo / "adapter-plate-1.ply"));
  expect_error("check --quiet '" + (kDemo / "adapter-plate.toml").string() +
                   "' --scan scan.ply --out scan.ply",
               73, "scan.ply");
}

}  // namespace
}  // namespace trammel
