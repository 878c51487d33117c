#include "reference/open_data.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cstdlib>

namespace trammel::test {
namespace {

namespace fs = std::filesystem;

const fs::path kArchive = "/usr/share/doc/libcgal-dev/data.tar.gz";

/// Held by one process at a time until it ends or leaves the block.
class Turn {
 public:
  explicit Turn(const fs::path& path)
      : file_(::open(path.c_str(), O_CREAT | O_RDWR | O_CLOEXEC, 0666)) {
    if (file_ >= 0) ::flock(file_, LOCK_EX);
  }
  ~Turn() {
    if (file_ >= 0) ::close(file_);
  }
  Turn(const Turn&) = delete;
  Turn& operator=(const Turn&) = delete;

 private:
  int file_;
};

/// Tests run as several processes at once. A file is unpacked aside and then renamed, so that none
/// reads half of it, and by one process only: a second would put its own in the place of the one
/// that another test reads by then.
void unpack(const std::string& file, const fs::path& target) {
  const Turn turn(fs::path(TRAMMEL_BINARY_DIR) / "open-data.lock");
  if (fs::exists(target)) return;
  std::string pattern = (fs::path(TRAMMEL_BINARY_DIR) / "open-data-XXXXXX").string();
  if (!mkdtemp(pattern.data())) return;
  const fs::path aside = pattern;
  const std::string command = "tar -xzf '" + kArchive.string() + "' -C '" + aside.string() +
                              "' 'data/" + file + "' 2>/dev/null";
  if (std::system(command.c_str()) == 0) {
    fs::create_directories(target.parent_path());
    fs::rename(aside / "data" / file, target);
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
