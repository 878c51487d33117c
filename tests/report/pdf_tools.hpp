#pragma once

/// poppler's tools, for tests that look into a PDF.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace trammel::test {

/// A folder that goes away with the value.
class ScratchFolder {
 public:
  ScratchFolder();
  ~ScratchFolder();
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

/// What `tool [options] file.pdf` prints; nothing when the tool is not installed.
[[nodiscard]] std::optional<std::string> print_of(const std::string& tool,
                                                  const std::string& options,
                                                  const std::string& pdf_bytes);

/// What it says on stderr.
[[nodiscard]] std::optional<std::string> complaints_of(const std::string& tool,
                                                       const std::string& pdf_bytes);

/// A word of `pdftotext -bbox` with its place on its page, points from the upper left.
struct Word {
  std::size_t page;
  double page_width, page_height, left, top, right, bottom;
  std::string text;
};

/// All words in reading order; nothing when pdftotext is not installed.
[[nodiscard]] std::optional<std::vector<Word>> placed_words(const std::string& pdf_bytes);

}  // namespace trammel::test
