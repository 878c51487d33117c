#pragma once

/// One run at a time in a folder whose files tell of each other.

#include <filesystem>

namespace trammel {

/// Opens a folder and holds it against other runs until it is closed.
/// @return a descriptor; −1, with errno EWOULDBLOCK, when another run holds it, or with another one
///         where there is no such folder or the system knows no locks
[[nodiscard]] int locked_folder(const std::filesystem::path& folder);

/// Held while it lives; a run that ends in any way lets go.
class FolderLock {
 public:
  /// Holds nothing where there is no such folder, or the system knows no locks.
  /// @throws Error Output when another run holds it
  explicit FolderLock(const std::filesystem::path& folder);
  ~FolderLock();
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;

 private:
  int file_ = -1;
};

}  // namespace trammel
