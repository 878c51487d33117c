#include "trammel/base/time_left.hpp"

#include <algorithm>
#include <utility>

namespace trammel {

TimeLeft::TimeLeft(std::vector<StageShare> shares) : shares_(std::move(shares)) {
  double sum = 0.0;
  for (const StageShare& one : shares_)
    sum += one.share;
  for (StageShare& one : shares_)
    one.share /= sum;
}

void TimeLeft::begin(const std::string& line, double now_s) {
  if (!begun_) start_s_ = now_s;
  begun_ = true;
  over_ += current_;
  since_s_ = now_s;
  const auto at = std::find_if(shares_.begin(), shares_.end(),
                               [&](const StageShare& one) { return line.rfind(one.word, 0) == 0; });
  current_ = at == shares_.end() ? 0.0 : at->share;
  if (at != shares_.end()) shares_.erase(at);  // one that is told of twice counts once
}

std::optional<TimeLeft::Guess> TimeLeft::at(double now_s) const {
  const double before_s = since_s_ - start_s_, passed_s = now_s - start_s_;
  if (!(over_ > 0.0) || !(before_s > 0.0)) return {};
  const double done = std::min(over_ * passed_s / before_s, over_ + current_);
  return Guess{done, std::max(0.0, passed_s * (1.0 - done) / done)};
}

}  // namespace trammel
