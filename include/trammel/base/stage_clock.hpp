#pragma once

/// What goes on, and for how long, on a terminal.

#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <iosfwd>
#include <mutex>
#include <string>
#include <thread>

namespace trammel {

/// One line a stage. Once a stage lasts longer than a period its line is written anew, every
/// period, with the whole seconds that have passed, and a last time when it ends. Between two calls
/// nobody else may write to the terminal.
class StageClock {
 public:
  /// @param terminal  understands "one line up" and "clear to the end of the line" (ECMA-48)
  /// @param width  characters of a line; one that would run on into the next is not written anew
  StageClock(std::ostream& terminal, std::size_t width, std::chrono::milliseconds period);
  ~StageClock();
  StageClock(const StageClock&) = delete;
  StageClock& operator=(const StageClock&) = delete;

  /// Ends the stage before, and begins one.
  void begin(const std::string& line);
  void end();

 private:
  using Clock = std::chrono::steady_clock;
  void keep_time();
  void write_again();

  std::ostream& terminal_;
  std::size_t width_;
  std::chrono::milliseconds period_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::string line_;  ///< empty: nothing goes on
  Clock::time_point since_{};
  bool is_over_ = false;
  std::thread ticker_;
};

}  // namespace trammel
