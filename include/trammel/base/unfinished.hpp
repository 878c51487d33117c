#pragma once

/// What a run has begun to write and not finished: taken away when the run is stopped from outside.

#include <filesystem>
#include <mutex>

namespace trammel {

/// A file or folder that is half-written for as long as this lives.
class Unfinished {
 public:
  /// @param path  need not be there yet
  explicit Unfinished(std::filesystem::path path);
  ~Unfinished();
  Unfinished(const Unfinished&) = delete;
  Unfinished& operator=(const Unfinished&) = delete;

 private:
  std::filesystem::path path_;
};

/// To be held while something finished is given its name: the run is not stopped in between.
[[nodiscard]] std::unique_lock<std::mutex> finishing();

/// Removes all that is unfinished, for a run that is about to end: from then on whoever wants to
/// finish something, or to give it up, waits for ever.
void remove_unfinished();

}  // namespace trammel
