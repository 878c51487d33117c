#include <filesystem>

#include "commands.hpp"
#include "trammel/base/error.hpp"

namespace trammel::app {

namespace fs = std::filesystem;

fs::path default_folder(const fs::path& file, const std::string& ending) {
  constexpr std::size_t kMostBytes = 220;  // of 255, for a number after it and names beside it
  std::string stem = file.stem().string();
  if (stem.size() > kMostBytes) {
    std::size_t end = kMostBytes;
    while (end > 0 && (static_cast<unsigned char>(stem[end]) & 0xC0U) == 0x80U)
      --end;  // not in the middle of a letter
    stem.resize(end);
  }
  return stem + ending;
}

void check_folder(const fs::path& folder, const std::vector<fs::path>& inputs) {
  std::error_code unknown;
  for (const fs::path& input : inputs) {
    if (!input.empty() && fs::equivalent(folder, input, unknown)) {
      throw Error(ErrorKind::Output, folder.string(),
                  "expected a folder for the sheet, found an input file", "Choose another --out");
    }
  }
  if (fs::exists(folder, unknown) && !fs::is_directory(folder, unknown)) {
    throw Error(ErrorKind::Output, folder.string(),
                "expected a folder for the sheet, found a file of that name",
                "Choose another --out");
  }
}

}  // namespace trammel::app
