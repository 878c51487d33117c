/// Every seed and every input that once broke a reader, through the reader it is for: read, or
/// answered with one message. What the fuzzers begin with (./dev fuzz) is run here in every build.

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "readers.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

const fs::path kSeeds = fs::path(TRAMMEL_SOURCE_DIR) / "tests/fuzz/seeds";

std::string bytes_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

/// Names tell what is expected: "good-…" is read, "bad-…" gets a message.
void expect_as_named(const std::string& reader, const fs::path& seed) {
  const std::string message = test::read_with(reader, bytes_of(seed));
  const std::string name = seed.filename().string();
  if (name.rfind("good-", 0) == 0) {
    EXPECT_EQ(message, "") << seed;
  } else {
    EXPECT_EQ(name.rfind("bad-", 0), 0U) << seed << " is named neither good- nor bad-";
    EXPECT_NE(message, "") << seed;
  }
}

TEST(FuzzSeeds, AreReadOrAnsweredAsTheirNamesSay) {
  for (const std::string& reader : test::reader_names()) {
    if (reader == "scan") continue;  // it has no seeds of its own
    int seeds = 0;
    for (const auto& entry : fs::directory_iterator(kSeeds / reader)) {
      expect_as_named(reader, entry.path());
      ++seeds;
    }
    EXPECT_GE(seeds, 2) << reader;
  }
}

TEST(FuzzSeeds, OfAnyFormatBreakNoReader) {
  for (const std::string& reader : test::reader_names()) {
    for (const auto& entry : fs::recursive_directory_iterator(kSeeds)) {
      if (!entry.is_regular_file()) continue;
      EXPECT_NO_THROW((void)test::read_with(reader, bytes_of(entry.path())))
          << reader << " reading " << entry.path();
    }
  }
}

/// Cut anywhere, and with any one byte turned over, a seed may be read or not; it breaks nothing.
TEST(FuzzSeeds, CutShortOrDamagedBreakNoReader) {
  for (const std::string& reader : test::reader_names()) {
    if (reader == "scan") continue;  // slow, and the same parsers
    for (const auto& entry : fs::directory_iterator(kSeeds / reader)) {
      const std::string bytes = bytes_of(entry.path());
      if (bytes.size() > 2000) continue;
      for (std::size_t i = 0; i < bytes.size(); ++i) {
        EXPECT_NO_THROW((void)test::read_with(reader, std::string_view(bytes).substr(0, i)))
            << reader << " reading the first " << i << " bytes of " << entry.path();
        std::string damaged = bytes;
        damaged[i] = static_cast<char>(~damaged[i]);
        EXPECT_NO_THROW((void)test::read_with(reader, damaged))
            << reader << " with byte " << i << " of " << entry.path() << " turned over";
      }
    }
  }
}

}  // namespace
}  // namespace trammel
