#pragma once

/// What goes on, and for how long, on a terminal.

#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <iosfwd>
#include <mutex>
#include <string>
#include <thread>

#include "trammel/base/time_left.hpp"

namespace trammel {

/// One line a stage. Once a stage lasts longer than a period its line is written anew, every
/// period, with the whole seconds that have passed, a bar of how far the run is and a guess of the
/// time left, where there is one, and a last time, without these, when it ends. Between two calls
/// nobody else may write to the terminal.
class StageClock {
 public:
  /// @param terminal  understands "one line up" and "clear to the end of the line" (ECMA-48)
  /// @param width  characters of a line; one that would run on into the next is not written anew
  StageClock(std::ostream& terminal, std::size_t width, std::chrono::milliseconds period,
             TimeLeft left = TimeLeft({}));
  ~StageClock();
  StageClock(const StageClock&) = delete;
  StageClock& operator=(const StageClock&) = delete;

  /// Ends the stage before, and begins one.
  /// @param prefix  stands before the line and is no part of it
  void begin(const std::string& line, const std::string& prefix = "");
  void end();

 private:
  using Clock = std::chrono::steady_clock;
  void keep_time();
  void write_again(bool goes_on);
  [[nodiscard]] std::string how_far(Clock::time_point now) const;

  std::ostream& terminal_;
  std::size_t width_;
  std::chrono::milliseconds period_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::string line_;  ///< empty: nothing goes on
  Clock::time_point since_{};
  TimeLeft left_;
  bool is_over_ = false;
  std::thread ticker_;
};

}  // namespace trammel
