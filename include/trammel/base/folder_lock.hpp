#pragma once

/// One run at a time in a folder whose files tell of each other.

#include <filesystem>

namespace trammel {

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
