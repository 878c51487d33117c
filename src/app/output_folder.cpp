#include <filesystem>

#include "commands.hpp"
#include "trammel/base/error.hpp"

namespace trammel::app {

namespace fs = std::filesystem;

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
