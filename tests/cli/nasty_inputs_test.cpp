/// What strangers' scanners, phones and download sites deliver, in one table: each is read, or gets
/// one message that says what was expected, what was found and what to do, and the exit code of
/// README.md. Whatever can be read of it never passes.

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <chrono>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "run_program.hpp"
#include "support/long_run.hpp"

namespace trammel {
namespace {

constexpr int kNotTried = -1, kWorks = 0, kUndecided = 2, kBadData = 65, kUnreadable = 66;

/// One file, and what comes of it.
struct Nasty {
  std::string name, bytes;
  int look = kBadData;         ///< exit code of `look`
  int scan = kBadData;         ///< of `check` with it as the scan; seconds where it works
  std::string found;           ///< words of the message of whichever fails
  std::string as_design = {};  ///< words of the message with it as the design; empty: not tried
};

/// 100 points of a bumpy patch, one `line` each.
std::string patch(const std::function<std::string(double x, double y, double z)>& line) {
  std::string all;
  for (int i = 0; i < 100; ++i)
    all += line(i % 10 * 3.0, i / 10 * 3.0, i * 7 % 5);
  return all;
}

std::string text_line(double x, double y, double z) {
  return std::to_string(x) + " " + std::to_string(y) + " " + std::to_string(z) + "\n";
}

/// A line of the patch, each number followed by `ending`.
std::string patch_with(const std::string& ending) {
  return patch([&](double x, double y, double z) {
    const auto number = [&](double v) { return std::to_string(static_cast<int>(v) + 1) + ending; };
    return number(x) + " " + number(y) + " " + number(z) + "\n";
  });
}

std::string binary_line(double x, double y, double z) {
  const float values[] = {static_cast<float>(x), static_cast<float>(y), static_cast<float>(z)};
  return {reinterpret_cast<const char*>(values), sizeof values};
}

std::string ply(const std::string& encoding, const std::string& points, const std::string& body,
                const std::string& more = {}) {
  return "ply\nformat " + encoding + " 1.0\nelement vertex " + points +
         "\nproperty float x\nproperty float y\nproperty float z\n" + more + "end_header\n" + body;
}

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  for (std::size_t at = text.find(what); at != text.npos; at = text.find(what, at + by.size()))
    text.replace(at, what.size(), by);
  return text;
}

std::string repeated(int count, const std::string& line) {
  std::string all;
  for (int i = 0; i < count; ++i)
    all += line;
  return all;
}

std::string stl(std::uint32_t stated, int triangles) {
  std::string bytes(80, ' ');
  bytes.append(reinterpret_cast<const char*>(&stated), 4);
  for (int i = 0; i < triangles; ++i)
    bytes += binary_line(0, 0, 1) + binary_line(0, 0, i) + binary_line(50, 0, i) +
             binary_line(0, 30, i) + std::string(2, '\0');
  return bytes;
}

std::string triangle(const std::string& a, const std::string& b, const std::string& c) {
  return "v " + a + "\nv " + b + "\nv " + c + "\nf 1 2 3\n";
}

std::vector<Nasty> cut_or_lying() {
  const std::string text = patch(text_line), bytes = patch(binary_line);
  const std::string faces = "element face 1\nproperty list uchar int vertex_indices\n";
  return {
      {"cut.stl", stl(20, 20).substr(0, 500), 65, 65, "expected 1084 bytes", "expected 1084 bytes"},
      {"cut-text.stl", "solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0", 65, 65,
       ":4: expected a number", "expected a number"},
      {"cut.ply", ply("binary_little_endian", "100", bytes.substr(0, 700)), 65, 65,
       "found only 700 bytes"},
      {"cut-text.ply", ply("ascii", "100", text.substr(0, 1500)), 65, 65, "found"},
      {"cut-header.ply", "ply\nformat ascii 1.0\nelement ver", 65, 65, "found nothing"},
      {"cut.off", "OFF\n3 1 0\n0 0 0\n1 0 0\n", 65, 65, "found '3' for 12 bytes",
       "found '3' for 12 bytes"},
      {"cut.obj", "v 0 0 0\nv 1 0", 65, 65, "cut.obj:2: expected three numbers", "three numbers"},
      {"cut.xyz", text + "1.0 2", 65, 65, "expected three or more numbers"},
      {"many.stl", stl(4'000'000'000U, 20), 65, 65, "expected 200000000084 bytes",
       "expected 200000000084 bytes"},
      {"few.stl", stl(3, 20), 65, 65, "expected 234 bytes", "expected 234 bytes"},
      {"many.ply", ply("binary_little_endian", "4000000000", bytes), 65, 65, "found '4000000000'"},
      {"few.ply", ply("binary_little_endian", "50", bytes), 65, 65, "600 bytes more"},
      {"minus.ply", ply("ascii", "-1", text), 65, 65, "found '-1'"},
      {"many-text.ply", ply("ascii", "101", text), 65, 65, "found"},
      {"face.ply", ply("binary_little_endian", "100", bytes + std::string("\xFF\1\0", 3), faces),
       65, 65, "a face of 255 corners", "a face of 255 corners"},
      {"no-vertex.ply", ply("ascii", "100", text + "3 0 1 100\n", faces), 65, 65,
       "found vertex 100", "found vertex 100"},
      {"many.off", "OFF\n4000000000 1 0\n0 0 0\n", 65, 65, "found '4000000000'",
       "found '4000000000'"},
      {"many.xyz", "101\n" + text, 65, 65, "expected 101 points"},
      {"no-vertex.obj", "v 0 0 0\nv 1 0 0\nf 1 2 9\n", 65, 65, "found 9", "found 9"},
  };
}

std::vector<Nasty> strangely_written() {
  const std::string text = patch(text_line), bytes = patch(binary_line);
  const std::string whole = patch_with(""), commas = patch_with(",5");
  return {
      {"other-order.ply", ply("binary_big_endian", "100", bytes), 65, 65,
       "may stand in the other order"},
      {"crlf.ply", replaced(ply("ascii", "100", text), "\n", "\r\n"), kWorks, kUndecided, ""},
      {"crlf.xyz", replaced(text, "\n", "\r\n"), kWorks, kNotTried, ""},
      {"cr.xyz", replaced(text, "\n", "\r"), kWorks, kNotTried, ""},
      {"mark.ply", "\xEF\xBB\xBF" + ply("ascii", "100", text), kWorks, kNotTried, ""},
      {"mark.xyz", "\xEF\xBB\xBF" + text, kWorks, kNotTried, ""},
      {"mark.obj", "\xEF\xBB\xBF" + triangle("0 0 0", "50 0 0", "0 30 0"), kWorks, kNotTried, ""},
      {"utf16.xyz", std::string("\xFF\xFE") + std::string("1\0 \0\x32\0 \0", 8), 65, 65,
       "found UTF-16"},
      {"utf16-bare.xyz", std::string("1\0 \0\x32\0 \0\x33\0\n\0", 12), 65, 65, "bytes of zero"},
      {"commas.xyz", commas, kWorks, kNotTried, ""},
      {"commas.ply", ply("ascii", "100", commas), 65, 65,
       "commas.ply:8: expected a number, found '1,5'"},
      {"commas.obj", "v 1,5 2,5 3,5\n", 65, 65, "found '1,5'", "found '1,5'"},
      {"commas.off", "OFF\n1 0 0\n1,5 2 3\n", 65, 65, "found '1,5'", "found '1,5'"},
      {"commas.stl", "solid\nfacet normal 0 0 1\nouter loop\nvertex 1,5 2 3\n", 65, 65,
       "found '1,5'", "found '1,5'"},
      {"letter.xyz", "Dear workshop,\nhere is the scan.\n", 65, 65, "expected lines of three"},
      {"zipped.xyz", "PK\x03\x04" + whole, 65, 65, "a ZIP archive"},
      {"noname", whole, 65, 65, "neither the content nor the name's ending"},
  };
}

std::vector<Nasty> strange_numbers() {
  const std::string text = patch(text_line);
  const std::string no_points = "at least 3 points";
  return {
      {"huge.xyz", patch_with("e300"), 65, 65, "numbers such as"},
      {"beyond.xyz", patch_with("e999"), 65, 65, "found"},
      {"denormal.xyz", patch_with("e-320"), 65, 65, "numbers such as"},
      {"one-huge.xyz", text + "1e300 1e300 -1e300\n", kWorks, kUndecided, ""},
      {"one-far.xyz", text + "1e14 0 0\n", kWorks, kNotTried, ""},
      {"one-tiny.xyz", text + "1e-320 4e-324 0\n", kWorks, kNotTried, ""},
      {"some-nan.xyz", text + "nan 0 0\n0 inf 0\n0 0 -inf\n", kWorks, kUndecided, ""},
      {"nan.xyz", repeated(50, "nan nan nan\n"), 65, 65, "found"},
      {"nan.obj", triangle("nan 0 0", "1 0 0", "0 1 0"), kWorks, 65, no_points, "found none"},
      {"huge.obj", triangle("0 0 0", "1e300 0 0", "0 1e300 0"), 65, 65, "numbers such as",
       "numbers such as"},
      {"large.obj", triangle("0 0 0", "1e14 0 0", "0 1e14 0"), kWorks, 65, "design's size",
       "10 km"},
      {"tiny.obj", triangle("0 0 0", "1e-20 0 0", "0 1e-20 0"), kWorks, 65, "", "found"},
      {"denormal.obj", triangle("0 0 0", "1e-320 0 0", "0 1e-320 0"), 65, 65, "numbers such as",
       "numbers such as"},
  };
}

std::vector<Nasty> next_to_nothing() {
  const std::string none = "expected a mesh or points, found none", few = "at least 3 points";
  std::string line, slope;
  for (int i = 0; i < 1000; ++i) {
    line += text_line(0.1 * i, 0, 0);
    slope += text_line(0.1 * i, 0.07 * i, 0.05 * i);
  }
  const std::string no_triangles = "expected a design of triangles, found none";
  return {
      {"zero.stl", "", 65, 65, "an empty file", "an empty file"},
      {"zero.ply", "", 65, 65, "an empty file"},
      {"zero.xyz", "", 65, 65, "an empty file"},
      {"none.stl", stl(0, 0), 65, 65, "found", no_triangles},
      {"none-text.stl", "solid a\nendsolid a\n", 65, 65, "found", no_triangles},
      {"none.ply", ply("ascii", "0", ""), 65, 65, "found"},
      {"none.off", "OFF\n0 0 0\n", 65, 65, "found", no_triangles},
      {"none.obj", "# nothing\n", 65, 65, "found", no_triangles},
      {"none.xyz", "# nothing\n", 65, 65, "expected lines of three"},
      {"one.xyz", "1 2 3\n", kWorks, 65, few},
      {"two.xyz", "1 2 3\n4 5 6\n", kWorks, 65, few},
      {"three.xyz", "0 0 0\n60 0 0\n0 50 0\n", kWorks, kUndecided, "", no_triangles},
      {"one-place.xyz", repeated(1000, "1 2 3\n"), kWorks, 65, "design's size"},
      {"one-place.obj", triangle("1 2 3", "1 2 3", "1 2 3"), kWorks, 65, few, "found"},
      {"line.xyz", line, kWorks, kUndecided, ""},
      {"slope.xyz", slope, kWorks, kNotTried, ""},
      {"flat.obj", triangle("0 0 0", "50 0 0", "100 0 0"), kWorks, 65, few, "with an area"},
      {"one.obj", triangle("0 0 0", "50 0 0", "0 30 0"), kWorks, kUndecided, ""},
  };
}

class NastyInputs : public Cli {
 protected:
  void SetUp() override {
    Cli::SetUp();
    (void)write("bar.obj", bar_obj());
    (void)write("in-place.toml", "design = \"bar.obj\"\n[align]\nmethod = \"as-scanned\"\n");
  }

  /// A message of one line with an expectation, a finding and a next step; or no message at all.
  void expect_ending(const std::string& arguments, int code, const std::string& found) {
    if (code >= 64) {
      expect_error(arguments, code, found);
      const std::string said = text_of(folder_ / "err.txt");
      EXPECT_NE(said.find("expected "), std::string::npos) << said;
      EXPECT_NE(said.find(", found"), std::string::npos) << said;
      EXPECT_NE(said.find(". ", said.find(", found")), std::string::npos)
          << "no next step: " << said;
      EXPECT_LT(said.size(), 500U) << said;
      return;
    }
    const Finished run = trammel(arguments);
    EXPECT_EQ(run.code, code) << arguments << "\n" << run.out << run.err;
    EXPECT_TRUE(run.err.empty()) << run.err;
    EXPECT_LT(run.out.size(), 4000U) << run.out;
  }

  /// The bar that a scan is looked for on. A line and one triangle fit it everywhere, and to search
  /// takes up to twelve seconds: only a long run does, else they stay where they are.
  static std::string part_for(const std::string& scan) {
    const bool stays = !test::is_long_run() && (scan == "line.xyz" || scan == "one.obj");
    return stays ? "in-place.toml" : "--design bar.obj";
  }

  void try_all(const std::vector<Nasty>& table) {
    for (const Nasty& one : table) {
      (void)write(one.name, one.bytes);
      expect_ending("look " + one.name, one.look, one.found);
      if (one.scan != kNotTried) {
        expect_ending("check --quiet " + part_for(one.name) + " --scan " + one.name, one.scan,
                      one.found);
      }
      if (one.as_design.empty()) continue;
      const std::string scan = "'" + (kDemo / "adapter-plate-1.ply").string() + "'";
      expect_ending("check --quiet --design " + one.name + " --scan " + scan, kBadData,
                    one.as_design);
    }
  }
};

TEST_F(NastyInputs, CutShortOrLyingAboutTheirCounts) {
  try_all(cut_or_lying());
}
TEST_F(NastyInputs, StrangelyWritten) {
  try_all(strangely_written());
}
TEST_F(NastyInputs, OfStrangeNumbers) {
  try_all(strange_numbers());
}
TEST_F(NastyInputs, NextToNothing) {
  try_all(next_to_nothing());
}

TEST_F(NastyInputs, PlansThatAreNone) {
  const std::string scan = " --quiet --scan '" + (kDemo / "adapter-plate-1.ply").string() + "'";
  const std::vector<std::pair<std::string, std::string>> plans = {
      {"", "expected 'design'"},
      {"design = \"a.stl\"\n[band]\nover = 0,5\n", "plan.toml:3"},
      {"design = \"a.stl\"\n[band]\nover = nan\n", "finite number"},
      {"design = \"a.stl\"\n[band]\nover = 1e400\n", "plan.toml:3"},
      {"design = \"\xFF.stl\"\n", "plan.toml:1"},
      {"\xFF\xFE"
       "d\0=\0",
       "plan.toml"},
      {"design = \"a" + repeated(70'000, ".a") + "\n", "more than 100"},
      {repeated(60'000, "a = [\n"), "plan.toml:"},
      {repeated(1'100'000, "#"), "at most 1000000 bytes"}};
  for (const auto& [text, found] : plans) {
    (void)write("plan.toml", text);
    expect_ending("check plan.toml" + scan, kBadData, found);
  }
}

TEST_F(NastyInputs, FoldersPipesAndDevices) {
  for (const std::string ending : {".stl", ".ply", ".xyz"}) {
    fs::create_directory(folder_ / ("folder" + ending));
    expect_ending("look folder" + ending, kUnreadable, "found: a folder");
  }
  expect_ending("look /dev/zero", kUnreadable, "found: a device");
  expect_ending("look none.ply", kUnreadable, "No such file");
  expect_ending("check none.toml --quiet --scan none.ply", kUnreadable, "none.toml");
  ASSERT_EQ(mkfifo((folder_ / "pipe.xyz").c_str(), 0600), 0);
  expect_ending("look pipe.xyz", kUnreadable, "a pipe that nobody wrote to for ten seconds");
  (void)write("patch.xyz", patch(text_line));
  ASSERT_EQ(std::system(("(sleep 1; cat '" + (folder_ / "patch.xyz").string() + "' >'" +
                         (folder_ / "pipe.xyz").string() + "') &")
                            .c_str()),
            0);
  expect_ending("look pipe.xyz", kWorks, "");
  EXPECT_NE(text_of(folder_ / "out.txt").find("points      100"), std::string::npos);
}

TEST_F(NastyInputs, FiveGigabytesOfNothingAreToldAtOnce) {
  for (const std::string ending : {".stl", ".ply", ".obj", ".off", ".xyz", ".toml"}) {
    const fs::path file = write("sparse" + ending, "");
    std::error_code failed;
    fs::resize_file(file, std::uintmax_t{5} << 30U, failed);
    if (failed) GTEST_SKIP() << "no sparse file of 5 GB here: " << failed.message();
    const auto started = std::chrono::steady_clock::now();
    expect_ending(
        ending == ".toml" ? "check sparse.toml --quiet --scan a.ply" : "look sparse" + ending,
        kBadData, "found");
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - started;
    EXPECT_LT(took.count(), 5.0) << ending;  // reading all of it takes longer
    fs::remove(file);
  }
}

}  // namespace
}  // namespace trammel
