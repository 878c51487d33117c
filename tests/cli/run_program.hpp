#pragma once

/// Runs the real program in a folder of its own, for all tests of the command line.

#include <gtest/gtest.h>
#include <sys/wait.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace trammel {

namespace fs = std::filesystem;

inline const fs::path kDemo = fs::path(TRAMMEL_SOURCE_DIR) / "data/demo";

inline std::string text_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::stringstream out;
  out << in.rdbuf();
  return out.str();
}

/// What a run of the program left.
struct Finished {
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

  /// @param environment  more variables, "NAME=value "
  [[nodiscard]] Finished trammel(const std::string& arguments,
                                 const std::string& environment = "") const {
    const std::string command =
        "cd '" + folder_.string() + "' && SOURCE_DATE_EPOCH=0 LC_ALL=C.UTF-8 " + environment +
        "'" TRAMMEL_PROGRAM "' " + arguments + " >out.txt 2>err.txt </dev/null";
    const int status = std::system(command.c_str());
    Finished run;
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
    const Finished run = trammel(arguments);
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

/// A bar of 60 × 40 × 9 mm: quick to check. As OBJ.
inline std::string bar_obj() {
  return "v 0 0 0\nv 60 0 0\nv 60 40 0\nv 0 40 0\nv 0 0 9\nv 60 0 9\nv 60 40 9\nv 0 40 9\n"
         "f 4 3 2 1\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n";
}

/// Every millimetre of the bar's faces, one a line.
/// @param pushed_mm  how far the end at x = 60 stands out
inline std::string points_of_the_bar(int pushed_mm = 0) {
  std::string text;
  for (int x = 0; x <= 60; ++x)
    for (int y = 0; y <= 40; ++y)
      for (int z = 0; z <= 9; ++z)
        if (x % 60 == 0 || y % 40 == 0 || z % 9 == 0)
          text += std::to_string(x + (x == 60 ? pushed_mm : 0)) + ' ' + std::to_string(y) + ' ' +
                  std::to_string(z) + '\n';
  return text;
}

inline std::string demo(const std::string& plan, const std::string& scan) {
  return "'" + (kDemo / plan).string() + "' --scan '" + (kDemo / scan).string() + "'";
}

}  // namespace trammel
