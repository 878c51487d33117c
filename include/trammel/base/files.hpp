#pragma once

/// Whole files in, whole files out: nothing half-written is ever left behind.

#include <array>
#include <filesystem>
#include <string>
#include <string_view>

#include "trammel/base/unfinished.hpp"

namespace trammel {

/// The bytes of a file, mapped read-only where the system can (so that 10 million points cost no
/// copy).
class FileBytes {
 public:
  /// @throws Error Missing when the file is not there, is a folder or cannot be opened; the message
  ///         names the path and the next step
  explicit FileBytes(const std::filesystem::path& path);
  ~FileBytes();
  FileBytes(FileBytes&& other) noexcept;
  FileBytes& operator=(FileBytes&&) = delete;
  FileBytes(const FileBytes&) = delete;
  FileBytes& operator=(const FileBytes&) = delete;

  [[nodiscard]] std::string_view view() const { return {data_, size_}; }

  /// To be asked once the bytes were used: a file that another program wrote meanwhile was half old
  /// and half new. (One that is cut short meanwhile ends the program; see app/cut_input.hpp.)
  /// @throws Error Input when the file's size or times are not those that it was opened with
  void check_unchanged() const;

 private:
  std::filesystem::path path_;
  int file_ = -1;
  std::array<long long, 5> facts_{};  ///< of the file when it was opened: size and times
  const char* data_ = nullptr;
  std::size_t size_ = 0;
  bool mapped_ = false;
  std::string copy_;  ///< for pipes and the like, which cannot be mapped
};

/// SHA-256 of the bytes as 64 lower-case hex digits (OpenSSL).
[[nodiscard]] std::string sha256_hex(std::string_view bytes);

/// A file that is written beside its place and moved there: of several, all are written before the
/// first is moved.
class FileAside {
 public:
  /// @throws Error Output when it cannot be written
  FileAside(std::filesystem::path path, std::string_view bytes);
  /// Removes what was not published.
  ~FileAside();
  FileAside(const FileAside&) = delete;
  FileAside& operator=(const FileAside&) = delete;

  /// Renames it over its place. @throws Error Output; the old file is then untouched
  void publish();

 private:
  std::filesystem::path path_, aside_;
  Unfinished unfinished_;
};

/// Writes bytes to a new file beside `path`, then renames it over `path`.
/// @throws Error Output when it cannot be written; the old file is then untouched
void write_file_whole(const std::filesystem::path& path, std::string_view bytes);

/// Makes a folder and those above it where they are missing. @throws Error Output
void make_folder(const std::filesystem::path& folder);

}  // namespace trammel
