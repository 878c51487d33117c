/// The real program with many scans at once: folders, overview, exit codes, one bad scan among
/// good.

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "run_program.hpp"

namespace trammel {
namespace {

/// A block as a mesh; its top at a height of its own.
std::string block(const std::string& top) {
  return "v 0 0 0\nv 60 0 0\nv 60 40 0\nv 0 40 0\nv 0 0 " + top + "\nv 60 0 " + top + "\nv 60 40 " +
         top + "\nv 0 40 " + top +
         "\nf 4 3 2 1\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n";
}

class Batch : public Cli {
 protected:
  void SetUp() override {
    Cli::SetUp();
    (void)write("part.obj", block("9"));
    (void)write("good.obj", block("9.05"));
    (void)write("bad.obj", block("10.1"));
    (void)write("block.toml",
                "title = \"Block\"\ndesign = \"part.obj\"\n[scan]\nuncertainty = 0.05\n"
                "[align]\nmethod = \"as-scanned\"\n");
  }
  [[nodiscard]] nlohmann::json overview(const std::string& folder = "block-sheets") const {
    return nlohmann::json::parse(text_of(folder_ / folder / "overview.json"));
  }
};

TEST_F(Batch, EachScanGetsItsSheetAndTheOverviewTellsOfAll) {
  const Finished run = trammel("check block.toml --scan good.obj --scan bad.obj");
  EXPECT_EQ(run.code, 1) << run.out << run.err;
  EXPECT_EQ(run.out.rfind("FAIL  Block: 2 scans: 1 pass and 1 fail.\n", 0), 0U) << run.out;
  EXPECT_NE(run.out.find("\n  pass: good.obj: "), std::string::npos) << run.out;
  EXPECT_NE(run.out.find("\n  fail: bad.obj: Proud by 1."), std::string::npos) << run.out;
  EXPECT_NE(run.err.find("trammel: scan 2 of 2: aligning"), std::string::npos) << run.err;
  const fs::path sheets = folder_ / "block-sheets";
  for (const char* scan : {"good", "bad"}) {
    const fs::path sheet = sheets / (std::string(scan) + "-sheet");
    EXPECT_EQ(text_of(sheet / "sheet.pdf").rfind("%PDF", 0), 0U);
    const auto result = nlohmann::json::parse(text_of(sheet / "result.json"));
    EXPECT_EQ(result["scan"]["file"], std::string(scan) + ".obj");
    EXPECT_EQ(result["verdict"], std::string(scan) == "good" ? "pass" : "fail");
  }
  const auto told = overview();
  EXPECT_EQ(told["verdict"], "fail");
  EXPECT_EQ(told["scans"][0]["verdict"], "pass");
  EXPECT_EQ(told["scans"][1]["folder"], "bad-sheet");
  // The top was drawn at 9 mm and lies at 10.1.
  EXPECT_NEAR(told["scans"][1]["proud"]["deviation"].get<double>(), 1.1, 1e-6);
  EXPECT_NE(text_of(sheets / "overview.html").find("./bad-sheet/sheet.html"), std::string::npos);
  EXPECT_EQ(std::distance(fs::directory_iterator(sheets), {}), 5);
}

TEST_F(Batch, OneBadScanDoesNotLoseTheOthers) {
  (void)write("empty.ply", "");
  const Finished run =
      trammel("check block.toml --quiet --scan good.obj empty.ply missing.ply bad.obj --out out");
  EXPECT_EQ(run.code, 66) << run.out << run.err;
  EXPECT_EQ(std::count(run.err.begin(), run.err.end(), '\n'), 2) << run.err;
  const auto told = overview("out");
  EXPECT_EQ(told["verdict"], "fail");
  ASSERT_EQ(told["scans"].size(), 4U);
  const std::vector<int> codes = {0, 65, 66, 1};
  for (std::size_t i = 0; i < codes.size(); ++i)
    EXPECT_EQ(told["scans"][i]["exit_code"], codes[i]) << i;
  const std::string why = told["scans"][2]["error"];
  EXPECT_NE(why.find("missing.ply"), std::string::npos) << why;
  EXPECT_NE(run.err.find("trammel: " + why + "\n"), std::string::npos) << run.err;
  EXPECT_TRUE(fs::exists(folder_ / "out/bad-sheet/sheet.html"));
  EXPECT_FALSE(fs::exists(folder_ / "out/empty-sheet"));
}

TEST_F(Batch, ScansOfOneNameGetFoldersOfTheirOwn) {
  for (const char* day : {"mon", "tue"})
    fs::create_directory(folder_ / day);
  (void)write("mon/a.obj", block("9"));
  (void)write("tue/a.obj", block("10"));
  (void)write("A.obj", block("9.1"));
  const Finished run = trammel("check block.toml --quiet --scan mon/a.obj tue/a.obj A.obj");
  EXPECT_EQ(run.code, 1) << run.out << run.err;
  const auto told = overview();
  EXPECT_EQ(told["scans"][0]["folder"], "a-sheet");
  EXPECT_EQ(told["scans"][1]["folder"], "a-sheet-2");
  EXPECT_EQ(told["scans"][2]["folder"], "A-sheet-3");
  const auto verdict_in = [&](const char* name) {
    return nlohmann::json::parse(text_of(folder_ / "block-sheets" / name / "result.json"))
        .at("verdict")
        .get<std::string>();
  };
  EXPECT_EQ(verdict_in("a-sheet"), "pass");
  EXPECT_EQ(verdict_in("a-sheet-2"), "fail");
  // Its sheet repeats this scan alone.
  const auto pdf_words = text_of(folder_ / "block-sheets/a-sheet-2/sheet.html");
  EXPECT_NE(pdf_words.find("check block.toml --scan tue/a.obj --out block-sheets/a-sheet-2"),
            std::string::npos);
}

TEST_F(Batch, OddNamesComeThrough) {
  const std::vector<std::string> names = {"<script>alert(1)<", "a\"b c&d%41#e", "\U0001F600 \u00e9",
                                          std::string(251, 'W')};
  std::string scans;
  for (const std::string& name : names) {
    (void)write(name + ".obj", block("9"));
    scans += " '" + name + ".obj'";
  }
  const Finished run = trammel("check block.toml --quiet --scan" + scans);
  EXPECT_EQ(run.code, 0) << run.out << run.err;
  const auto told = overview();
  for (std::size_t i = 0; i < names.size(); ++i) {
    EXPECT_EQ(told["scans"][i]["file"], names[i] + ".obj");
    const std::string sheet = told["scans"][i]["folder"];
    EXPECT_TRUE(fs::exists(folder_ / "block-sheets" / sheet / "sheet.html")) << sheet;
  }
  EXPECT_EQ(text_of(folder_ / "block-sheets/overview.html").find("<script"), std::string::npos);
}

TEST_F(Batch, JsonOnStdoutIsOverviewJsonAndNothingElse) {
  const Finished run = trammel("check block.toml --quiet --json - --scan good.obj bad.obj");
  EXPECT_EQ(run.code, 1) << run.err;
  EXPECT_TRUE(run.err.empty()) << run.err;
  EXPECT_EQ(run.out, text_of(folder_ / "block-sheets/overview.json"));
}

TEST_F(Batch, OverviewIsTheSameOnAnyNumberOfThreads) {
  std::string first;
  for (const std::string threads : {"1", "2"}) {
    (void)trammel("check block.toml --quiet --scan good.obj bad.obj --threads " + threads);
    const std::string json = text_of(folder_ / "block-sheets/overview.json");
    if (first.empty()) first = json;
    EXPECT_EQ(json, first);
  }
}

TEST_F(Batch, APlanAmongTheScansIsThePlanAndOneScanIsASheetAsEver) {
  const Finished run = trammel("check --quiet --scan good.obj block.toml");
  EXPECT_EQ(run.code, 0) << run.out << run.err;
  EXPECT_TRUE(fs::exists(folder_ / "good-sheet/sheet.pdf"));
  EXPECT_FALSE(fs::exists(folder_ / "block-sheets"));
  expect_error("check --quiet --scan block.toml", 64, "expected a scan");
  const Finished many = trammel("check --quiet --scan good.obj bad.obj block.toml --out all");
  EXPECT_EQ(many.code, 1) << many.out << many.err;
  EXPECT_EQ(overview("all")["scans"].size(), 2U);
}

TEST_F(Batch, WhatAllScansShareStopsTheRunBeforeAnythingIsWritten) {
  expect_error("check none.toml --quiet --scan good.obj bad.obj", 66, "none.toml");
  expect_error("check --design none.stl --quiet --scan good.obj bad.obj", 66, "none.stl");
  expect_error("check block.toml --quiet --scan good.obj bad.obj --out part.obj", 73, "part.obj");
  EXPECT_FALSE(fs::exists(folder_ / "block-sheets"));
  EXPECT_FALSE(fs::exists(folder_ / "none-sheets"));
}

TEST_F(Batch, ARunThatIsKilledLeavesAnOverviewThatClaimsNothingItDidNotCheck) {
  ASSERT_EQ(trammel("check block.toml --quiet --scan good.obj good.obj").code, 0);
  EXPECT_EQ(overview()["verdict"], "pass");
  // The second scan never comes: a pipe that nobody writes to.
  const std::string command = "cd '" + folder_.string() +
                              "' && mkfifo pipe.xyz && timeout -s KILL 3 '" TRAMMEL_PROGRAM
                              "' check block.toml --quiet --scan bad.obj pipe.xyz >out.txt 2>&1";
  EXPECT_NE(std::system(command.c_str()), 0);
  const auto told = overview();
  EXPECT_EQ(told["verdict"], "fail");
  EXPECT_EQ(told["scans"][0]["verdict"], "fail");
  EXPECT_TRUE(told["scans"][1]["verdict"].is_null());
  EXPECT_NE(told["sentence"].get<std::string>().find("1 not checked yet"), std::string::npos);
}

}  // namespace
}  // namespace trammel
