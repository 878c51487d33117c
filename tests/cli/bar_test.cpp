/// What a check says and leaves, tried with the real program on a part that is quick to check.

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "run_program.hpp"

namespace trammel {
namespace {

/// The bar of run_program.hpp, whose scan lies where it is drawn: what a check of it says and
/// leaves comes in a tenth of the time that a part of the demo takes.
class CliBar : public Cli {
 protected:
  void write_bar(int pushed_mm = 0) const {
    (void)write("bar.obj", bar_obj());
    (void)write("bar.xyz", points_of_the_bar(pushed_mm));
    (void)write("bar.toml",
                "design = \"bar.obj\"\n[scan]\nunits = \"mm\"\n[align]\nmethod = \"as-scanned\"\n");
  }
  const std::string check_bar_ = "check bar.toml --scan bar.xyz";
};

TEST_F(CliBar, SpeaksAsciiWhereTheLocaleShowsNoMore) {
  write_bar(2);
  const std::string check = check_bar_ + " --out sheet";
  const auto is_ascii = [](const std::string& text) {
    return std::all_of(text.begin(), text.end(), [](unsigned char c) { return c < 128; });
  };
  const Finished utf8 = trammel(check), ascii = trammel(check, "LC_ALL=C ");
  EXPECT_EQ(ascii.code, 1) << ascii.err;
  EXPECT_FALSE(is_ascii(utf8.out)) << utf8.out;
  EXPECT_TRUE(is_ascii(ascii.out)) << ascii.out;
  EXPECT_TRUE(is_ascii(ascii.err)) << ascii.err;
  EXPECT_NE(ascii.out.find("mm2 around X "), std::string::npos) << ascii.out;
  EXPECT_NE(ascii.out.find("+/-0."), std::string::npos) << ascii.out;
  EXPECT_EQ(std::count(ascii.out.begin(), ascii.out.end(), '\n'),
            std::count(utf8.out.begin(), utf8.out.end(), '\n'));
  // JSON is UTF-8 everywhere.
  const Finished json = trammel(check + " --quiet --json -", "LC_ALL=C ");
  EXPECT_FALSE(is_ascii(json.out));
  EXPECT_EQ(json.out, text_of(folder_ / "sheet/result.json"));
  const Finished error = trammel("check --design missing.stl --scan missing.ply", "LC_ALL=C ");
  EXPECT_EQ(error.code, 66);
  EXPECT_TRUE(is_ascii(error.err) && !error.err.empty()) << error.err;
}

TEST_F(CliBar, FileInTheWayOfTheSheetIsExit73AndStaysAsItWas) {
  write_bar();
  (void)write("taken", "mine");
  expect_error(check_bar_ + " --quiet --out taken", 73, "taken");
  EXPECT_EQ(text_of(folder_ / "taken"), "mine");
  expect_error(check_bar_ + " --quiet --out taken/sheet", 73, "taken");
  EXPECT_EQ(text_of(folder_ / "taken"), "mine");
}

TEST_F(CliBar, PlaceWhereNobodyMayWriteIsExit73) {
  write_bar();
  // Not even root may make a folder there.
  expect_error(check_bar_ + " --quiet --out /proc/sheet", 73, "/proc/sheet");
}

TEST_F(CliBar, AScanInTheFolderOfTheSheetIsNotOverwritten) {
  write_bar();
  fs::create_directory(folder_ / "sheet");
  const std::string points = points_of_the_bar();
  const std::string scan = "ply\nformat ascii 1.0\nelement vertex " +
                           std::to_string(std::count(points.begin(), points.end(), '\n')) +
                           "\nproperty float x\nproperty float y\nproperty float z\nend_header\n" +
                           points;
  (void)write("sheet/aligned-scan.ply", scan);
  expect_error("check --quiet bar.toml --scan sheet/aligned-scan.ply --out sheet", 73,
               "aligned-scan.ply");
  EXPECT_EQ(text_of(folder_ / "sheet/aligned-scan.ply"), scan);
}

TEST_F(CliBar, SecondSheetReplacesTheFirstAndLeavesOtherFilesAlone) {
  write_bar();
  fs::create_directory(folder_ / "sheet");
  (void)write("sheet/notes.txt", "mine");
  (void)write("sheet/result.json", "old");
  fs::create_directory(folder_ / "sheet/views");
  (void)write("sheet/views/photo.jpg", "mine too");
  (void)write("sheet/views/9-from-plus-X.png", "of an older sheet");
  const Finished run = trammel(check_bar_ + " --quiet --out sheet/");
  EXPECT_EQ(run.code, 0) << run.err;
  EXPECT_EQ(text_of(folder_ / "sheet/notes.txt"), "mine");
  EXPECT_EQ(text_of(folder_ / "sheet/views/photo.jpg"), "mine too");
  EXPECT_FALSE(fs::exists(folder_ / "sheet/views/9-from-plus-X.png"));
  EXPECT_EQ(nlohmann::json::parse(text_of(folder_ / "sheet/result.json"))["verdict"], "pass");
}

}  // namespace
}  // namespace trammel
