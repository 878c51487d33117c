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

inline std::string demo(const std::string& plan, const std::string& scan) {
  return "'" + (kDemo / plan).string() + "' --scan '" + (kDemo / scan).string() + "'";
}

}  // namespace trammel
