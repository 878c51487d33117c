#pragma once

/// A folder of files that belong together: all of them are there, or none.

#include <filesystem>
#include <optional>
#include <vector>

#include "trammel/base/unfinished.hpp"

namespace trammel {

/// A folder that appears under its final name only when `publish` is called.
///
/// Files are written into a hidden sibling. Where there is a folder of the final name already,
/// publish() puts the new one in its place in one step of the system: whoever looks, or kills the
/// program, at any moment finds the old files or the new ones. Files in the old folder that the new
/// one does not have are kept. The old folder is filled file by file instead, and a kill in that
/// moment can leave some of both, where
/// - the system cannot exchange folders (some network and memory-card file systems, a mount point),
/// - it is the folder that the program was started in, or one above it,
/// - it holds folders of others, more than 1,000 files, or belongs to another user.
///
/// What a killed run left beside it is removed by the next one; a run that is stopped otherwise
/// leaves nothing (unfinished.hpp). The destructor removes what was not published.
class StagedFolder {
 public:
  /// @param final_path  a link to a folder stands for that folder
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
  void make_staging(const std::filesystem::path& parent);
  /// Links what only the old folder has into the new one. False where that is not to be done.
  [[nodiscard]] bool adopt_others() const;
  /// Exchanges the two folders and removes the old one. False where the system cannot.
  [[nodiscard]] bool exchange();
  void fill_in_place();

  std::filesystem::path final_, staging_;
  std::optional<Unfinished> unfinished_;
  int lock_ = -1;  ///< held on the sibling while the run lives
};

}  // namespace trammel
