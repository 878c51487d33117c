#include "reference/open_data.hpp"

#include <cstdlib>

namespace trammel::test {
namespace {

namespace fs = std::filesystem;

const fs::path kArchive = "/usr/share/doc/libcgal-dev/data.tar.gz";

/// Tests run as several processes at once: each file is unpacked aside and then renamed.
void unpack(const std::string& file, const fs::path& target) {
  std::string pattern = (fs::path(TRAMMEL_BINARY_DIR) / "open-data-XXXXXX").string();
  if (!mkdtemp(pattern.data())) return;
  const fs::path aside = pattern;
  const std::string command = "tar -xzf '" + kArchive.string() + "' -C '" + aside.string() +
                              "' 'data/" + file + "' 2>/dev/null";
  if (std::system(command.c_str()) == 0) {
    std::error_code ignored;  // a rename that another process won is as good
    fs::create_directories(target.parent_path(), ignored);
    fs::rename(aside / "data" / file, target, ignored);
  }
  fs::remove_all(aside);
}

}  // namespace

fs::path debian_data(const std::string& file) {
  const fs::path target = fs::path(TRAMMEL_BINARY_DIR) / "open-data" / file;
  if (fs::exists(target) || !fs::exists(kArchive)) return target;
  unpack(file, target);
  return target;
}

fs::path shared_data(const std::string& file) {
  return fs::path(TRAMMEL_SOURCE_DIR) / ".." / "shared" / "data" / file;
}

std::string missing(const fs::path& path) {
  if (fs::exists(path)) return {};
  const std::string found = path.string() + " is not there";
  const bool of_debian = path.string().find("open-data") != std::string::npos;
  return of_debian ? found + ": install the Debian package libcgal-demo (" + kArchive.string() + ")"
                   : found;
}

}  // namespace trammel::test
