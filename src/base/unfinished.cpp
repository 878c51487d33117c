#include "trammel/base/unfinished.hpp"

#include <set>
#include <system_error>
#include <utility>

namespace trammel {
namespace {

namespace fs = std::filesystem;

struct Registry {
  std::mutex mutex;
  std::multiset<fs::path> paths;
};

/// Never destroyed: a run may be stopped while it ends.
Registry& registry() {
  static auto* const one = new Registry;
  return *one;
}

/// A thread may still put files into a folder while it is emptied.
void remove_for_good(const fs::path& path) {
  constexpr int kMostTries = 100;
  std::error_code code;
  for (int n = 0; n < kMostTries; ++n) {
    fs::remove_all(path, code);
    if (!fs::exists(fs::symlink_status(path, code))) return;
  }
}

}  // namespace

Unfinished::Unfinished(fs::path path) : path_(std::move(path)) {
  Registry& all = registry();
  const std::lock_guard<std::mutex> lock(all.mutex);
  all.paths.insert(path_);
}

Unfinished::~Unfinished() {
  Registry& all = registry();
  const std::lock_guard<std::mutex> lock(all.mutex);
  all.paths.erase(all.paths.find(path_));
}

std::unique_lock<std::mutex> finishing() {
  return std::unique_lock<std::mutex>(registry().mutex);
}

void remove_unfinished() {
  Registry& all = registry();
  all.mutex.lock();
  for (const fs::path& path : all.paths)
    remove_for_good(path);
}

}  // namespace trammel
