#pragma once

/// How far a run is, and how much longer it will take.

#include <optional>
#include <string>
#include <vector>

namespace trammel {

/// The part of a long run that one of its stages usually takes.
struct StageShare {
  std::string word;  ///< that the stage's line begins with, "aligning"
  double share;      ///< > 0; of the sum over all stages
};

/// Stages that are over tell how long the whole takes on this machine and with these data, by their
/// usual shares of it: a guess, and none before the first stage is over. A stage that takes longer
/// than its share holds the guess where the stage should have ended.
class TimeLeft {
 public:
  /// @param shares  in the order of the stages; none: nothing is ever guessed
  explicit TimeLeft(std::vector<StageShare> shares);

  /// A stage begins, and the one before it is over.
  /// @param line   what is told of it; a stage whose first word has no share counts for nothing
  /// @param now_s  seconds on any clock
  void begin(const std::string& line, double now_s);

  struct Guess {
    double done;    ///< share of the run, 0 … 1
    double left_s;  ///< seconds
  };
  [[nodiscard]] std::optional<Guess> at(double now_s) const;

 private:
  std::vector<StageShare> shares_;
  double over_ = 0.0, current_ = 0.0;  ///< shares of what is over, and of what goes on
  double start_s_ = 0.0, since_s_ = 0.0;
  bool begun_ = false;
};

}  // namespace trammel
