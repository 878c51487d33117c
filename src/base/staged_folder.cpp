#include "trammel/base/staged_folder.hpp"

#include <fcntl.h>
#include <linux/fs.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <string>
#include <system_error>

#include "trammel/base/error.hpp"
#include "trammel/base/folder_lock.hpp"
#include "trammel/base/text.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void cannot_stage(const fs::path& path, const std::string& why) {
  throw Error(ErrorKind::Output, path.string(), "cannot write here: " + why,
              "Free some space, fix the permissions or choose another --out");
}

/// "sheets/" means "sheets"; "." and links mean the folder they lead to.
fs::path settled(fs::path path) {
  if (!path.has_filename()) path = path.parent_path();
  std::error_code code;
  const bool is_link = fs::is_symlink(path, code);
  if (is_link && !fs::exists(path, code)) cannot_stage(path, "a link that leads nowhere");
  const fs::path name = path.filename();
  if (is_link || name.empty() || name == "." || name == "..") {
    const fs::path there = fs::canonical(path, code);
    if (code) cannot_stage(path, code.message());
    return there;
  }
  return path;
}

std::string hidden_prefix(const fs::path& final_path) {
  return "." + final_path.filename().string().substr(0, 180) + ".";
}

constexpr const char* kEnding = ".new";

/// A run that was killed left its sibling behind; nobody holds it any more.
void remove_abandoned(const fs::path& parent, const std::string& prefix) {
  std::error_code code;
  for (fs::directory_iterator entry(parent, code), end; !code && entry != end;
       entry.increment(code)) {
    const std::string name = entry->path().filename().string();
    if (name.rfind(prefix, 0) != 0 || !ends_with(name, kEnding)) continue;
    const int lock = locked_folder(entry->path());
    if (lock < 0) continue;
    std::error_code ignored;
    fs::remove_all(entry->path(), ignored);
    ::close(lock);
  }
}

bool same_folder(int open_folder, const fs::path& path) {
  struct stat a {
  }, b{};
  return ::fstat(open_folder, &a) == 0 && ::stat(path.c_str(), &b) == 0 && a.st_dev == b.st_dev &&
         a.st_ino == b.st_ino;
}

/// The folder that the program was started in must stay the same one for whoever stands in it.
bool holds_current_folder(const fs::path& folder) {
  std::error_code code;
  const fs::path here = fs::current_path(code), there = fs::canonical(folder, code);
  if (code) return true;
  auto part = here.begin();
  for (const fs::path& one : there) {
    if (part == here.end() || *part != one) return false;
    ++part;
  }
  return true;
}

bool on_one_device(const fs::path& a, const fs::path& b) {
  struct stat first {
  }, second{};
  return ::stat(a.c_str(), &first) == 0 && ::stat(b.c_str(), &second) == 0 &&
         first.st_dev == second.st_dev;
}

/// What stands in a folder, by name.
std::vector<fs::path> names_in(const fs::path& folder) {
  std::error_code code;
  std::vector<fs::path> names;
  for (fs::directory_iterator entry(folder, code), end; !code && entry != end;
       entry.increment(code)) {
    names.push_back(entry->path().filename());
  }
  if (code) cannot_stage(folder, code.message());
  return names;
}

/// A second name for a file or link, or a copy where the system has no second names.
bool give_second_name(const fs::path& from, const fs::path& to) {
  if (::linkat(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), 0) == 0) return true;
  std::error_code code;
  fs::copy(from, to, fs::copy_options::copy_symlinks, code);
  return !code;
}

}  // namespace

StagedFolder::StagedFolder(fs::path final_path) : final_(settled(std::move(final_path))) {
  std::error_code code;
  if (fs::exists(final_, code) && !fs::is_directory(final_, code)) {
    cannot_stage(final_, "a file of that name is in the way of the folder");
  }
  fs::path parent = final_.has_parent_path() ? final_.parent_path() : fs::path(".");
  fs::create_directories(parent, code);
  if (code) cannot_stage(parent, code.message());
  // A file system of its own is filled from within: nothing can be moved into it from beside it.
  if (fs::exists(final_, code) && !on_one_device(final_, parent)) parent = final_;
  remove_abandoned(parent, hidden_prefix(final_));
  make_staging(parent);
}

void StagedFolder::make_staging(const fs::path& parent) {
  constexpr int kMostTries = 100;
  for (int n = 0; n < kMostTries; ++n) {
    staging_ = parent / (hidden_prefix(final_) + std::to_string(::getpid()) + "-" +
                         std::to_string(n) + kEnding);
    if (::mkdir(staging_.c_str(), 0777) != 0) {
      if (errno == EEXIST) continue;
      cannot_stage(final_, std::strerror(errno));
    }
    unfinished_.emplace(staging_);
    lock_ = locked_folder(staging_);
    // Between the two, another run may have taken it for abandoned.
    if (lock_ >= 0 && same_folder(lock_, staging_)) return;
    if (lock_ >= 0) ::close(lock_);
    lock_ = -1;
  }
  cannot_stage(final_, "no folder could be made beside it");
}

StagedFolder::~StagedFolder() {
  std::error_code ignored;
  fs::remove_all(staging_, ignored);
  if (lock_ >= 0) ::close(lock_);
}

/// What the old folder, or one within it, has and the new one has not, as paths within it. False
/// where that is more than can be linked into the new one.
bool StagedFolder::others_of(const fs::path& within, std::vector<fs::path>& others) const {
  std::error_code code;
  for (fs::directory_iterator entry(final_ / within, code), end; !code && entry != end;
       entry.increment(code)) {
    std::error_code unknown;
    const fs::path name = within / entry->path().filename();
    const fs::file_type type = entry->symlink_status(unknown).type();
    const bool is_new = fs::exists(fs::symlink_status(staging_ / name, unknown));
    if (is_new && type == fs::file_type::directory) {
      if (!within.empty() || !others_of(name, others)) return false;
    } else if (!is_new) {
      if (type != fs::file_type::regular && type != fs::file_type::symlink) return false;
      if (within.empty() || !is_superseded(name)) others.push_back(name);
    }
  }
  return !code;
}

bool StagedFolder::is_superseded(const fs::path& name) const {
  return superseded_ && superseded_(name.filename().string());
}

bool StagedFolder::adopt_others() const {
  constexpr int kMostFiles = 1000;
  struct stat theirs {
  }, ours{};
  if (::stat(final_.c_str(), &theirs) != 0 || ::stat(staging_.c_str(), &ours) != 0) return false;
  if (theirs.st_uid != ours.st_uid || theirs.st_gid != ours.st_gid) return false;
  std::vector<fs::path> others;
  if (!others_of({}, others) || others.size() > kMostFiles) return false;
  for (const fs::path& other : others) {
    if (!give_second_name(final_ / other, staging_ / other)) return false;
  }
  return ::chmod(staging_.c_str(), theirs.st_mode & 07777U) == 0;
}

bool StagedFolder::exchange() {
  if (::syscall(SYS_renameat2, AT_FDCWD, staging_.c_str(), AT_FDCWD, final_.c_str(),
                RENAME_EXCHANGE) != 0) {
    return false;
  }
  // From here on `staging_` is the old folder. What came into it at the last moment is brought
  // over.
  std::error_code code;
  std::vector<fs::path> left;
  for (fs::directory_iterator entry(staging_, code), end; !code && entry != end;
       entry.increment(code)) {
    left.push_back(entry->path());
  }
  for (const fs::path& one : left) {
    const fs::path target = final_ / one.filename();
    if (!fs::exists(fs::symlink_status(target, code))) fs::rename(one, target, code);
  }
  fs::remove_all(staging_, code);
  return true;
}

void StagedFolder::fill_in_place(const fs::path& within) {
  std::error_code code;
  for (const fs::path& name : names_in(staging_ / within)) {
    const fs::path from = staging_ / within / name, target = final_ / within / name;
    if (fs::is_directory(from, code) && fs::is_directory(target, code)) {
      for (const fs::path& old : names_in(target))
        if (is_superseded(old) && !fs::is_directory(target / old, code))
          fs::remove(target / old, code);
      fill_in_place(within / name);
      continue;
    }
    fs::rename(from, target, code);
    if (code) cannot_stage(target, code.message());
  }
}

/// Before anything is moved: a folder of the user's that has the name of a file would be lost, or
/// stop the moving half-way.
void StagedFolder::check_targets() const {
  std::error_code unknown;
  for (const fs::path& name : names_in(staging_)) {
    const fs::path target = final_ / name;
    for (const fs::path& input : inputs_) {
      if (fs::equivalent(target, input, unknown))
        cannot_stage(target, "it is an input of this run, and would be overwritten");
    }
    const bool is_folder = fs::is_directory(staging_ / name, unknown);
    if (!fs::exists(target, unknown)) continue;
    if (is_folder && !fs::is_directory(target, unknown))
      cannot_stage(target, "it is in the way of the folder of that name");
    if (!is_folder && !fs::is_regular_file(target, unknown))
      cannot_stage(target, "it is in the way of the file of that name");
  }
}

void StagedFolder::publish() {
  check_targets();
  const auto lock = finishing();
  std::error_code code;
  if (!fs::exists(final_, code)) {
    fs::rename(staging_, final_, code);
    if (!code) return;
    // Another run may have made it since; else the same fault comes again below.
    if (!fs::exists(final_, code)) cannot_stage(final_, "the folder cannot be given its name");
  }
  const bool is_apart = staging_.parent_path() != final_;
  if (is_apart && !holds_current_folder(final_) && adopt_others() && exchange()) return;
  fill_in_place({});
}

}  // namespace trammel
