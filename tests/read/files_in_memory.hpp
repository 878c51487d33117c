#pragma once

/// Files made in memory, and the checks that every reader's tests share.

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "trammel/base/error.hpp"

namespace trammel::test {

/// Appends a number's bytes; `big_endian` turns them round. Tests run on little-endian machines.
template <typename T>
void append(std::string& bytes, T value, bool big_endian = false) {
  char raw[sizeof(T)];
  std::memcpy(raw, &value, sizeof value);
  if (big_endian) std::reverse(raw, raw + sizeof(T));
  bytes.append(raw, sizeof(T));
}

/// The same text with CR LF line ends.
inline std::string with_cr_lf(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '\n') out += '\r';
    out += c;
  }
  return out;
}

/// Runs `action`, which must throw an Input error; returns its whole message.
template <typename Action>
std::string input_error(const Action& action) {
  try {
    action();
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::Input) << error.what();
    return error.what();
  }
  ADD_FAILURE() << "expected an Error of kind Input";
  return {};
}

/// The message holds the words.
inline ::testing::AssertionResult has(const std::string& message, const std::string& words) {
  if (message.find(words) != message.npos) return ::testing::AssertionSuccess();
  return ::testing::AssertionFailure() << "\"" << message << "\" does not hold \"" << words << "\"";
}

inline bool any_has(const std::vector<std::string>& notes, const std::string& words) {
  return std::any_of(notes.begin(), notes.end(),
                     [&](const std::string& note) { return note.find(words) != note.npos; });
}

/// A file in the system's temporary folder that goes with the test.
class TemporaryFile {
 public:
  TemporaryFile(const std::string& name, const std::string& bytes)
      : path_(std::filesystem::temp_directory_path() /
              (std::string(::testing::UnitTest::GetInstance()->current_test_info()->name()) + "-" +
               name)) {
    std::ofstream(path_, std::ios::binary) << bytes;
  }
  ~TemporaryFile() {
    std::error_code ignored;
    std::filesystem::remove(path_, ignored);
  }
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

}  // namespace trammel::test
