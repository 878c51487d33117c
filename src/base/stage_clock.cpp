#include "trammel/base/stage_clock.hpp"

#include <ostream>

namespace trammel {

StageClock::StageClock(std::ostream& terminal, std::size_t width, std::chrono::milliseconds period)
    : terminal_(terminal), width_(width), period_(period), ticker_([this] { keep_time(); }) {}

StageClock::~StageClock() {
  end();
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    is_over_ = true;
  }
  changed_.notify_one();
  ticker_.join();
}

void StageClock::begin(const std::string& line) {
  end();
  const std::lock_guard<std::mutex> lock(mutex_);
  line_ = line;
  since_ = Clock::now();
  terminal_ << line_ << '\n' << std::flush;
}

void StageClock::end() {
  const std::lock_guard<std::mutex> lock(mutex_);
  if (!line_.empty() && Clock::now() - since_ >= period_) write_again();
  line_.clear();
}

void StageClock::write_again() {
  const auto passed = std::chrono::duration_cast<std::chrono::seconds>(Clock::now() - since_);
  const std::string text = line_ + ", " + std::to_string(passed.count()) + " s";
  if (text.size() < width_) terminal_ << "\x1b[1A\r" << text << "\x1b[K\n" << std::flush;
}

void StageClock::keep_time() {
  std::unique_lock<std::mutex> lock(mutex_);
  while (!is_over_) {
    changed_.wait_for(lock, period_);
    if (!line_.empty() && Clock::now() - since_ >= period_) write_again();
  }
}

}  // namespace trammel
