/// The real program with many scans at once: folders, overview, exit codes, one bad scan among
/// good.

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "run_program.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

/// A bar of 60 × 4 × 4 mm: few points, small pictures, quick to check.
const char* const kBar =
    "v 0 0 0\nv 60 0 0\nv 60 4 0\nv 0 4 0\nv 0 0 4\nv 60 0 4\nv 60 4 4\nv 0 4 4\n"
    "f 4 3 2 1\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n";

/// Points of the bar, half a mm apart, its top at a height of its own.
std::string bar(double top) {
  std::string points;
  const auto add = [&](double x, double y, double z) {
    points += shortest(x) + " " + shortest(y) + " " + shortest(z) + "\n";
  };
  for (double x = 0.25; x < 60.0; x += 0.5) {
    for (double across = 0.25; across < 4.0; across += 0.5) {
      add(x, across, 0.0);
      add(x, across, top);
      add(x, 0.0, across);
      add(x, 4.0, across);
    }
  }
  for (double y = 0.25; y < 4.0; y += 0.5) {
    for (double z = 0.25; z < 4.0; z += 0.5) {
      add(0.0, y, z);
      add(60.0, y, z);
    }
  }
  return points;
}

class Batch : public Cli {
 protected:
  void SetUp() override {
    Cli::SetUp();
    (void)write("part.obj", kBar);
    (void)write("good.xyz", bar(4.05));
    (void)write("bad.xyz", bar(5.1));
    (void)write("bar.toml",
                "title = \"Bar\"\ndesign = \"part.obj\"\n[scan]\nuncertainty = 0.05\n"
                "[align]\nmethod = \"as-scanned\"\n[region]\nleast_area = 20\n");
  }
  [[nodiscard]] nlohmann::json overview(const std::string& folder = "bar-sheets") const {
    return nlohmann::json::parse(text_of(folder_ / folder / "overview.json"));
  }
};

TEST_F(Batch, EachScanGetsItsSheetAndTheOverviewTellsOfAll) {
  const Finished run = trammel("check bar.toml --scan good.xyz --scan bad.xyz");
  EXPECT_EQ(run.code, 1) << run.out << run.err;
  EXPECT_EQ(run.out.rfind("FAIL  Bar: 2 scans: 1 pass and 1 fail.\n", 0), 0U) << run.out;
  EXPECT_NE(run.out.find("\n  pass: good.xyz: "), std::string::npos) << run.out;
  EXPECT_NE(run.out.find("\n  fail: bad.xyz: Proud by 1."), std::string::npos) << run.out;
  EXPECT_NE(run.err.find("trammel: scan 2 of 2: aligning"), std::string::npos) << run.err;
  const fs::path sheets = folder_ / "bar-sheets";
  for (const std::string scan : {"good", "bad"}) {
    const fs::path sheet = sheets / (scan + "-sheet");
    EXPECT_EQ(text_of(sheet / "sheet.pdf").rfind("%PDF", 0), 0U);
    const auto result = nlohmann::json::parse(text_of(sheet / "result.json"));
    EXPECT_EQ(result["scan"]["file"], scan + ".xyz");
    EXPECT_EQ(result["verdict"], scan == "good" ? "pass" : "fail");
  }
  const auto told = overview();
  EXPECT_EQ(told["verdict"], "fail");
  EXPECT_EQ(told["scans"][0]["verdict"], "pass");
  EXPECT_EQ(told["scans"][1]["folder"], "bad-sheet");
  // The top was drawn at 4 mm and lies at 5.1.
  EXPECT_NEAR(told["scans"][1]["proud"]["deviation"].get<double>(), 1.1, 1e-6);
  EXPECT_NE(text_of(sheets / "overview.html").find("./bad-sheet/sheet.html"), std::string::npos);
  EXPECT_EQ(std::distance(fs::directory_iterator(sheets), {}), 5);

  // On one thread, and asked for JSON: the same bytes in the file and on stdout.
  const std::string first = text_of(sheets / "overview.json");
  const Finished again =
      trammel("check bar.toml --quiet --json - --threads 1 --scan good.xyz bad.xyz");
  EXPECT_EQ(again.code, 1) << again.err;
  EXPECT_TRUE(again.err.empty()) << again.err;
  EXPECT_EQ(again.out, text_of(sheets / "overview.json"));
  EXPECT_EQ(again.out, first);
}

TEST_F(Batch, OneBadScanDoesNotLoseTheOthers) {
  (void)write("empty.ply", "");
  const Finished run =
      trammel("check bar.toml --quiet --scan good.xyz empty.ply missing.ply bad.xyz --out out");
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

TEST_F(Batch, ScansOfOneNameGetFoldersOfTheirOwnAndOddNamesComeThrough) {
  for (const char* day : {"mon", "tue"})
    fs::create_directory(folder_ / day);
  const std::string odd = "<script>\"b'c & d%41#\U0001F600", longest(251, 'W');
  (void)write("mon/a.xyz", bar(4.0));
  (void)write("tue/A.xyz", bar(5.0));
  (void)write(odd + ".xyz", bar(4.0));
  (void)write(longest + ".xyz", bar(4.0));
  // The shell takes the odd one from a pattern: no quoting of ours.
  const Finished run = trammel("check bar.toml --quiet --scan */[aA].xyz '<'*.xyz W*.xyz");
  EXPECT_EQ(run.code, 1) << run.out << run.err;
  const auto told = overview();
  ASSERT_EQ(told["scans"].size(), 4U);
  EXPECT_EQ(told["scans"][0]["folder"], "a-sheet");
  EXPECT_EQ(told["scans"][1]["folder"], "A-sheet-2");
  EXPECT_EQ(told["scans"][2]["file"], odd + ".xyz");
  EXPECT_EQ(told["scans"][3]["file"], longest + ".xyz");
  const auto verdict_in = [&](const std::string& name) {
    return nlohmann::json::parse(text_of(folder_ / "bar-sheets" / name / "result.json"))
        .at("verdict")
        .get<std::string>();
  };
  EXPECT_EQ(verdict_in("a-sheet"), "pass");
  EXPECT_EQ(verdict_in("A-sheet-2"), "fail");
  for (const int scan : {2, 3})
    EXPECT_EQ(verdict_in(told["scans"][static_cast<std::size_t>(scan)]["folder"]), "pass");
  EXPECT_EQ(text_of(folder_ / "bar-sheets/overview.html").find("<script"), std::string::npos);
  // A sheet repeats its own scan alone.
  const std::string html = text_of(folder_ / "bar-sheets/A-sheet-2/sheet.html");
  EXPECT_NE(html.find("check bar.toml --scan tue/A.xyz --out bar-sheets/A-sheet-2"),
            std::string::npos);
}

TEST_F(Batch, APlanAmongTheScansIsThePlanAndOneScanIsASheetAsEver) {
  const Finished run = trammel("check --quiet --paper letter --scan good.xyz bar.toml");
  EXPECT_EQ(run.code, 0) << run.out << run.err;
  EXPECT_NE(text_of(folder_ / "good-sheet/sheet.pdf").find("[ 0 0 612 792 ]"), std::string::npos);
  expect_error("check bar.toml --scan good.xyz --paper a5", 64, "a5");
  EXPECT_TRUE(fs::exists(folder_ / "good-sheet/sheet.pdf"));
  EXPECT_FALSE(fs::exists(folder_ / "bar-sheets"));
  expect_error("check --quiet --scan bar.toml", 64, "expected a scan");
  const Finished many = trammel("check --quiet --scan none.xyz nil.xyz bar.toml --out all");
  EXPECT_EQ(many.code, 66) << many.out << many.err;
  EXPECT_EQ(overview("all")["scans"].size(), 2U);
  EXPECT_EQ(overview("all")["verdict"], "undecided");
}

TEST_F(Batch, WhatAllScansShareStopsTheRunBeforeAnythingIsWritten) {
  expect_error("check none.toml --quiet --scan good.xyz bad.xyz", 66, "none.toml");
  expect_error("check --design none.stl --quiet --scan good.xyz bad.xyz", 66, "none.stl");
  expect_error("check bar.toml --quiet --scan good.xyz bad.xyz --out part.obj", 73, "part.obj");
  EXPECT_FALSE(fs::exists(folder_ / "bar-sheets"));
  EXPECT_FALSE(fs::exists(folder_ / "none-sheets"));
}

TEST_F(Batch, ARunThatIsKilledLeavesAnOverviewThatClaimsNothingItDidNotCheck) {
  fs::create_directory(folder_ / "bar-sheets");
  (void)write("bar-sheets/overview.json", "{\"verdict\": \"pass\"}");  // of an earlier run
  // The second scan is a pipe that nobody writes to; killed once the first has its verdict.
  const std::string command =
      "cd '" + folder_.string() +
      "' && mkfifo pipe.xyz && { '" TRAMMEL_PROGRAM
      "' check bar.toml --quiet --scan bad.xyz pipe.xyz >out.txt 2>&1 & } && run=$! && "
      "for i in $(seq 900); do grep -q '\"verdict\": \"fail\"' bar-sheets/overview.json && "
      "break; sleep 0.1; done; kill -KILL $run; wait $run 2>/dev/null; true";
  ASSERT_EQ(std::system(command.c_str()), 0);
  const auto told = overview();
  EXPECT_EQ(told["verdict"], "fail");
  EXPECT_EQ(told["scans"][0]["verdict"], "fail");
  EXPECT_TRUE(told["scans"][1]["verdict"].is_null());
  EXPECT_NE(told["sentence"].get<std::string>().find("1 not checked yet"), std::string::npos);
}

}  // namespace
}  // namespace trammel
