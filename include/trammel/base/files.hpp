#pragma once

/// Whole files in, whole files out: nothing half-written is ever left behind.

#include <filesystem>
#include <string>
#include <string_view>

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

 private:
  const char* data_ = nullptr;
  std::size_t size_ = 0;
  bool mapped_ = false;
  std::string copy_;  ///< for pipes and the like, which cannot be mapped
};

/// SHA-256 of the bytes as 64 lower-case hex digits (OpenSSL).
[[nodiscard]] std::string sha256_hex(std::string_view bytes);

/// Writes bytes to a new file beside `path`, then renames it over `path`.
/// @throws Error Output when it cannot be written; the old file is then untouched
void write_file_whole(const std::filesystem::path& path, std::string_view bytes);

/// A folder that appears under its final name only when `publish` is called.
///
/// Files are written into a hidden sibling; publish() moves each into `final_path`, over files of
/// the same name from an earlier run, and leaves other files there alone. The destructor removes
/// what was not published.
class StagedFolder {
 public:
  /// @throws Error Output when the sibling cannot be made or `final_path` is a file
  explicit StagedFolder(std::filesystem::path final_path);
  ~StagedFolder();
  StagedFolder(const StagedFolder&) = delete;
  StagedFolder& operator=(const StagedFolder&) = delete;

  /// Where to write now.
  [[nodiscard]] const std::filesystem::path& path() const { return staging_; }
  /// @throws Error Output
  void publish();

 private:
  std::filesystem::path final_, staging_;
};

}  // namespace trammel
