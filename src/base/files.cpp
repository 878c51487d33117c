#include "trammel/base/files.hpp"

#include <fcntl.h>
#include <openssl/evp.h>
#include <poll.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <memory>
#include <system_error>
#include <utility>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/base/unfinished.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

struct Descriptor {
  int value;
  ~Descriptor() {
    if (value >= 0) ::close(value);
  }
};

[[noreturn]] void cannot_read(const fs::path& path, const std::string& why) {
  throw Error(ErrorKind::Missing, path.string(), "expected a readable file, found: " + why,
              "Check the path and the permissions");
}

[[noreturn]] void cannot_write(const fs::path& path, const std::string& why) {
  throw Error(ErrorKind::Output, path.string(), "cannot write here: " + why,
              "Free some space, fix the permissions or choose another --out");
}

/// A pipe opens at once, and is then waited for: nobody may ever write to it.
void wait_for_writer(int descriptor, const fs::path& path) {
  constexpr int kMostMilliseconds = 10'000;
  pollfd pipe{descriptor, POLLIN, 0};
  if (::poll(&pipe, 1, kMostMilliseconds) == 0) {
    cannot_read(path, "a pipe that nobody wrote to for ten seconds");
  }
  const int flags = ::fcntl(descriptor, F_GETFL);
  if (flags < 0 || ::fcntl(descriptor, F_SETFL, flags & ~O_NONBLOCK) < 0) {
    cannot_read(path, std::strerror(errno));
  }
}

/// @throws Error Missing for what has no end: a terminal, a disk
void check_kind(const struct stat& facts, const fs::path& path) {
  if (S_ISDIR(facts.st_mode)) cannot_read(path, "a folder");
  if (S_ISCHR(facts.st_mode) || S_ISBLK(facts.st_mode)) cannot_read(path, "a device");
}

std::string read_stream(int descriptor, const fs::path& path) {
  std::string bytes;
  std::array<char, 65536> block{};
  for (;;) {
    const ssize_t got = ::read(descriptor, block.data(), block.size());
    if (got == 0) return bytes;
    if (got < 0) {
      if (errno == EINTR) continue;
      cannot_read(path, std::strerror(errno));
    }
    bytes.append(block.data(), static_cast<std::size_t>(got));
  }
}

void write_all(int descriptor, std::string_view bytes, const fs::path& path) {
  while (!bytes.empty()) {
    const ssize_t put = ::write(descriptor, bytes.data(), bytes.size());
    if (put < 0) {
      if (errno == EINTR) continue;
      cannot_write(path, std::strerror(errno));
    }
    bytes.remove_prefix(static_cast<std::size_t>(put));
  }
}

std::array<long long, 5> facts_of(const struct stat& facts) {
  return {facts.st_size, facts.st_mtim.tv_sec, facts.st_mtim.tv_nsec, facts.st_ctim.tv_sec,
          facts.st_ctim.tv_nsec};
}

fs::path sibling(const fs::path& path, const char* ending) {
  const fs::path folder = path.has_parent_path() ? path.parent_path() : fs::path(".");
  return folder / ("." + path.filename().string().substr(0, 180) + "." +
                   std::to_string(::getpid()) + ending);
}

}  // namespace

FileBytes::FileBytes(const fs::path& path) : path_(path) {
  Descriptor file{::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)};
  if (file.value < 0) cannot_read(path, std::strerror(errno));
  struct stat facts {};
  if (::fstat(file.value, &facts) != 0) cannot_read(path, std::strerror(errno));
  check_kind(facts, path);
  if (S_ISFIFO(facts.st_mode)) wait_for_writer(file.value, path);
  if (S_ISREG(facts.st_mode) && facts.st_size > 0) {
    const auto size = static_cast<std::size_t>(facts.st_size);
    void* at = ::mmap(nullptr, size, PROT_READ, MAP_PRIVATE, file.value, 0);
    if (at != MAP_FAILED) {
      ::madvise(at, size, MADV_SEQUENTIAL);
      data_ = static_cast<const char*>(at);
      size_ = size;
      mapped_ = true;
      facts_ = facts_of(facts);
      file_ = std::exchange(file.value, -1);
      return;
    }
  }
  copy_ = read_stream(file.value, path);
  data_ = copy_.data();
  size_ = copy_.size();
}

FileBytes::FileBytes(FileBytes&& other) noexcept
    : path_(std::move(other.path_)),
      file_(std::exchange(other.file_, -1)),
      facts_(other.facts_),
      data_(other.data_),
      size_(other.size_),
      mapped_(std::exchange(other.mapped_, false)),
      copy_(std::move(other.copy_)) {
  if (!mapped_) data_ = copy_.data();
  other.data_ = nullptr;
  other.size_ = 0;
}

FileBytes::~FileBytes() {
  if (mapped_) ::munmap(const_cast<char*>(data_), size_);
  if (file_ >= 0) ::close(file_);
}

void FileBytes::check_unchanged() const {
  if (file_ < 0) return;  // of a pipe each byte comes once
  struct stat facts {};
  if (::fstat(file_, &facts) == 0 && facts_of(facts) == facts_) return;
  throw Error(ErrorKind::Input, path_.string(),
              "expected a file at rest, found that it changed while it was read",
              "Wait until the other program has saved it, then run again");
}

std::string sha256_hex(std::string_view bytes) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned int length = 0;
  const int done =
      EVP_Digest(bytes.data(), bytes.size(), digest.data(), &length, EVP_sha256(), nullptr);
  TRAMMEL_CHECK(done == 1 && length == 32, "SHA-256 must be available");
  constexpr std::string_view kHex = "0123456789abcdef";
  std::string text;
  for (unsigned int i = 0; i < length; ++i) {
    text += kHex[digest[i] >> 4];
    text += kHex[digest[i] & 15];
  }
  return text;
}

FileAside::FileAside(fs::path path, std::string_view bytes)
    : path_(std::move(path)), aside_(sibling(path_, ".part")), unfinished_(aside_) {
  try {
    const Descriptor file{::open(aside_.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666)};
    if (file.value < 0) cannot_write(path_, std::strerror(errno));
    write_all(file.value, bytes, path_);
    if (::fsync(file.value) != 0 && errno != EINVAL) cannot_write(path_, std::strerror(errno));
  } catch (...) {
    ::unlink(aside_.c_str());
    throw;
  }
}

FileAside::~FileAside() {
  if (!aside_.empty()) ::unlink(aside_.c_str());
}

void FileAside::publish() {
  const auto lock = finishing();
  if (::rename(aside_.c_str(), path_.c_str()) != 0) cannot_write(path_, std::strerror(errno));
  aside_.clear();
}

void write_file_whole(const fs::path& path, std::string_view bytes) {
  FileAside(path, bytes).publish();
}

void make_folder(const fs::path& folder) {
  std::error_code failed;
  fs::create_directories(folder, failed);
  if (failed) {
    throw Error(ErrorKind::Output, folder.string(), "cannot make this folder: " + failed.message(),
                "Choose another --out");
  }
}

}  // namespace trammel
