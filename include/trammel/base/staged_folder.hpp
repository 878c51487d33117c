#pragma once

/// A folder of files that belong together: all of them are there, or none.

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "trammel/base/unfinished.hpp"

namespace trammel {

/// A folder that appears under its final name only when `publish` is called.
///
/// Files are written into a hidden sibling. Where there is a folder of the final name already,
/// publish() puts the new one in its place in one step of the system: whoever looks, or kills the
/// program, at any moment finds the old files or the new ones. Files in the old folder, and in
/// folders within it that both have, that the new one does not have are kept, but for those that
/// `supersede` names. The old folder is filled file by file instead, and a kill in that moment can
/// leave some of both, where
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

  /// Names of files, within folders that the new one has as well, that go although it has none of
  /// that name: of more pictures than there are now.
  void supersede(std::function<bool(const std::string&)> names) { superseded_ = std::move(names); }
  /// Files that must still be there afterwards: what the run read.
  void spare(std::vector<std::filesystem::path> inputs) { inputs_ = std::move(inputs); }

  /// Where to write now.
  [[nodiscard]] const std::filesystem::path& path() const { return staging_; }
  /// @throws Error Output, also where something of another kind, or an input, has the name of a new
  ///         file; then nothing was changed
  void publish();

 private:
  void make_staging(const std::filesystem::path& parent);
  void check_targets() const;
  [[nodiscard]] bool is_superseded(const std::filesystem::path& name) const;
  /// Links what only the old folder has into the new one. False where that is not to be done.
  [[nodiscard]] bool adopt_others() const;
  [[nodiscard]] bool others_of(const std::filesystem::path& within,
                               std::vector<std::filesystem::path>& others) const;
  /// Exchanges the two folders and removes the old one. False where the system cannot.
  [[nodiscard]] bool exchange();
  void fill_in_place(const std::filesystem::path& within);

  std::filesystem::path final_, staging_;
  std::optional<Unfinished> unfinished_;
  std::function<bool(const std::string&)> superseded_;
  std::vector<std::filesystem::path> inputs_;
  int lock_ = -1;  ///< held on the sibling while the run lives
};

}  // namespace trammel
