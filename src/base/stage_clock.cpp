#include "trammel/base/stage_clock.hpp"

#include <cmath>
#include <ostream>
#include <utility>

namespace trammel {
namespace {

constexpr int kBar = 20;  // characters

double seconds_of(std::chrono::steady_clock::time_point moment) {
  return std::chrono::duration<double>(moment.time_since_epoch()).count();
}

/// To the second below ten, then to five, then to minutes: it is a guess.
std::string about(double seconds) {
  if (seconds > 90.0) return "about " + std::to_string(std::lround(seconds / 60.0)) + " min";
  const double step = seconds < 10.0 ? 1.0 : 5.0;
  return "about " + std::to_string(std::lround(std::ceil(seconds / step) * step)) + " s";
}

}  // namespace

StageClock::StageClock(std::ostream& terminal, std::size_t width, std::chrono::milliseconds period,
                       TimeLeft left)
    : terminal_(terminal), width_(width), period_(period), left_(std::move(left)), ticker_([this] {
        keep_time();
      }) {}

StageClock::~StageClock() {
  end();
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    is_over_ = true;
  }
  changed_.notify_one();
  ticker_.join();
}

void StageClock::begin(const std::string& line, const std::string& prefix) {
  end();
  const std::lock_guard<std::mutex> lock(mutex_);
  line_ = prefix + line;
  since_ = Clock::now();
  left_.begin(line, seconds_of(since_));
  terminal_ << line_ << '\n' << std::flush;
}

void StageClock::end() {
  const std::lock_guard<std::mutex> lock(mutex_);
  if (!line_.empty() && Clock::now() - since_ >= period_) write_again(false);
  line_.clear();
}

std::string StageClock::how_far(Clock::time_point now) const {
  const auto guess = left_.at(seconds_of(now));
  if (!guess) return "";
  const auto filled = static_cast<std::size_t>(std::lround(kBar * guess->done));
  return " [" + std::string(filled, '=') + std::string(kBar - filled, ' ') + "] " +
         about(guess->left_s) + " left";
}

void StageClock::write_again(bool goes_on) {
  const auto now = Clock::now();
  const auto passed = std::chrono::duration_cast<std::chrono::seconds>(now - since_);
  std::string text = line_ + ", " + std::to_string(passed.count()) + " s";
  if (text.size() >= width_) return;
  const std::string bar = goes_on ? how_far(now) : "";
  if (text.size() + bar.size() < width_) text += bar;
  terminal_ << "\x1b[1A\r" << text << "\x1b[K\n" << std::flush;
}

void StageClock::keep_time() {
  std::unique_lock<std::mutex> lock(mutex_);
  while (!is_over_) {
    changed_.wait_for(lock, period_);
    if (!line_.empty() && Clock::now() - since_ >= period_) write_again(true);
  }
}

}  // namespace trammel
