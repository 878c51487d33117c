#include "trammel/report/balloons.hpp"

#include <algorithm>

namespace trammel {
namespace {

constexpr double kConflict = 1e4;  ///< dearer than any leader is long
constexpr double kOverDot = 60.0;  ///< for a leader that runs over another's place
constexpr double kDotReach = 3.0;
constexpr int kSweeps = 12;

double turn(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& c) {
  return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x());
}

/// Places in a row from `from` to `to`, as many as fit, spread evenly.
void add_row(const Eigen::Vector2d& from, const Eigen::Vector2d& to, double pitch,
             std::vector<Eigen::Vector2d>& slots) {
  const double length = (to - from).norm();
  const int count = static_cast<int>(length / pitch);
  for (int i = 0; i <= count; ++i) {
    const double share = count == 0 ? 0.5 : static_cast<double>(i) / count;
    slots.push_back(from + share * (to - from));
  }
}

/// A place for a balloon; a wide one grows away from the part.
struct Slot {
  Eigen::Vector2d at = Eigen::Vector2d::Zero();
  double grows = 0.0;  ///< −1 to the left, +1 to the right, 0 to both sides
};

void add_slots(const Eigen::Vector2d& from, const Eigen::Vector2d& to, double pitch, double grows,
               std::vector<Slot>& slots) {
  std::vector<Eigen::Vector2d> row;
  add_row(from, to, pitch, row);
  for (const Eigen::Vector2d& at : row)
    slots.push_back({at, grows});
}

/// Columns left and right of the outline; rows above and below where the room allows.
std::vector<Slot> slots_around(const FlatBox& outline, const FlatBox& room,
                               const BalloonSettings& settings) {
  const double r = settings.radius, off = settings.gap + r, pitch = 2.0 * r + settings.gap;
  const Eigen::Vector2d low = room.low.array() + r, high = room.high.array() - r;
  const double left = outline.low.x() - off, right = outline.high.x() + off;
  const double below = outline.low.y() - off, above = outline.high.y() + off;
  const double from = std::min(outline.low.x() + r, outline.center().x());
  const double to = std::max(outline.high.x() - r, outline.center().x());
  std::vector<Slot> slots;
  if (left >= low.x()) add_slots({left, low.y()}, {left, high.y()}, pitch, -1.0, slots);
  if (right <= high.x()) add_slots({right, low.y()}, {right, high.y()}, pitch, 1.0, slots);
  if (below >= low.y()) add_slots({from, below}, {to, below}, pitch, 0.0, slots);
  if (above <= high.y()) add_slots({from, above}, {to, above}, pitch, 0.0, slots);
  return slots;
}

/// The choice of a slot for each anchor, improved move by move; −1 stands for none.
class Layout {
 public:
  Layout(const std::vector<BalloonRequest>& requests, std::vector<Slot> slots, const FlatBox& room,
         const BalloonSettings& settings)
      : requests_(requests),
        slots_(std::move(slots)),
        room_(room),
        settings_(settings),
        choice_(requests.size(), -1) {}

  void solve() {
    for (std::size_t i = 0; i < requests_.size(); ++i)
      move_to_cheapest(i);
    for (int sweep = 0; sweep < kSweeps; ++sweep) {
      bool moved = false;
      for (std::size_t i = 0; i < requests_.size(); ++i)
        moved = move_to_cheapest(i) || moved;
      for (std::size_t i = 0; i < requests_.size(); ++i) {
        for (std::size_t j = i + 1; j < requests_.size(); ++j)
          moved = swap_if_cheaper(i, j) || moved;
      }
      if (!moved) break;
    }
    drop_conflicts();
  }

  [[nodiscard]] std::vector<Balloon> balloons() const {
    std::vector<Balloon> placed(requests_.size());
    for (std::size_t i = 0; i < requests_.size(); ++i) {
      if (choice_[i] < 0) continue;
      placed[i] = {center(i), half_width(i), start(i), true};
    }
    return placed;
  }

 private:
  [[nodiscard]] const Eigen::Vector2d& anchor(std::size_t i) const { return requests_[i].anchor; }
  [[nodiscard]] double half_width(std::size_t i) const {
    return std::max(requests_[i].half_width, settings_.radius);
  }
  [[nodiscard]] Eigen::Vector2d center_in(std::size_t i, const Slot& slot) const {
    return slot.at + Eigen::Vector2d(slot.grows * (half_width(i) - settings_.radius), 0.0);
  }
  [[nodiscard]] Eigen::Vector2d center(std::size_t i) const {
    return center_in(i, slots_[static_cast<std::size_t>(choice_[i])]);
  }
  /// Ends of the straight part of a balloon; both are its centre when it is round.
  [[nodiscard]] Eigen::Vector2d left(std::size_t i) const {
    return center(i) - Eigen::Vector2d(half_width(i) - settings_.radius, 0.0);
  }
  [[nodiscard]] Eigen::Vector2d right(std::size_t i) const {
    return center(i) + Eigen::Vector2d(half_width(i) - settings_.radius, 0.0);
  }
  [[nodiscard]] Eigen::Vector2d start(std::size_t i) const {
    const double x = std::clamp(anchor(i).x(), left(i).x(), right(i).x());
    const Eigen::Vector2d core(x, center(i).y());
    const Eigen::Vector2d way = anchor(i) - core;
    return core + way * (settings_.radius / std::max(way.norm(), settings_.radius));
  }
  [[nodiscard]] bool fits(std::size_t i, const Slot& slot) const {
    const double x = center_in(i, slot).x();
    return x - half_width(i) >= room_.low.x() - 1e-9 && x + half_width(i) <= room_.high.x() + 1e-9;
  }

  [[nodiscard]] bool chosen_fits(std::size_t i) const {
    return choice_[i] < 0 || fits(i, slots_[static_cast<std::size_t>(choice_[i])]);
  }

  [[nodiscard]] bool conflict(std::size_t i, std::size_t j) const {
    const double spare = 0.3 * settings_.gap, clear = settings_.radius + spare;
    if (segment_distance(left(i), right(i), left(j), right(j)) < clear + settings_.radius) {
      return true;
    }
    if (segment_distance(left(j), right(j), start(i), anchor(i)) < clear) return true;
    if (segment_distance(left(i), right(i), start(j), anchor(j)) < clear) return true;
    return segments_meet(start(i), anchor(i), start(j), anchor(j));
  }

  [[nodiscard]] double pair_cost(std::size_t i, std::size_t j) const {
    if (choice_[i] < 0 || choice_[j] < 0) return 0.0;
    double cost = conflict(i, j) ? kConflict : 0.0;
    if (distance_to_segment(anchor(j), start(i), anchor(i)) < kDotReach) cost += kOverDot;
    if (distance_to_segment(anchor(i), start(j), anchor(j)) < kDotReach) cost += kOverDot;
    return cost;
  }

  [[nodiscard]] double cost_of(std::size_t i) const {
    if (choice_[i] < 0) return 3.0 * kConflict;
    double cost = (center(i) - anchor(i)).norm();
    for (std::size_t j = 0; j < requests_.size(); ++j)
      cost += j == i ? 0.0 : pair_cost(i, j);
    return cost;
  }

  [[nodiscard]] bool taken(int slot, std::size_t except) const {
    for (std::size_t j = 0; j < choice_.size(); ++j) {
      if (j != except && choice_[j] == slot) return true;
    }
    return false;
  }

  bool move_to_cheapest(std::size_t i) {
    const int before = choice_[i];
    int best = before;
    double least = cost_of(i);
    for (int slot = 0; slot < static_cast<int>(slots_.size()); ++slot) {
      if (taken(slot, i) || !fits(i, slots_[static_cast<std::size_t>(slot)])) continue;
      choice_[i] = slot;
      const double cost = cost_of(i);
      if (cost < least - 1e-9) {
        least = cost;
        best = slot;
      }
    }
    choice_[i] = best;
    return best != before;
  }

  bool swap_if_cheaper(std::size_t i, std::size_t j) {
    const double before = cost_of(i) + cost_of(j);
    std::swap(choice_[i], choice_[j]);
    if (chosen_fits(i) && chosen_fits(j) && cost_of(i) + cost_of(j) < before - 1e-9) return true;
    std::swap(choice_[i], choice_[j]);
    return false;
  }

  /// The later of two that stand in each other's way goes.
  void drop_conflicts() {
    for (std::size_t j = 1; j < requests_.size(); ++j) {
      for (std::size_t i = 0; i < j && choice_[j] >= 0; ++i) {
        if (choice_[i] >= 0 && conflict(i, j)) choice_[j] = -1;
      }
    }
  }

  const std::vector<BalloonRequest>& requests_;
  const std::vector<Slot> slots_;
  const FlatBox room_;
  const BalloonSettings settings_;
  std::vector<int> choice_;
};

}  // namespace

std::vector<Balloon> place_balloons(const std::vector<BalloonRequest>& requests,
                                    const FlatBox& outline, const FlatBox& room,
                                    const BalloonSettings& settings) {
  Layout layout(requests, slots_around(outline, room, settings), room, settings);
  layout.solve();
  return layout.balloons();
}

double distance_to_segment(const Eigen::Vector2d& point, const Eigen::Vector2d& a,
                           const Eigen::Vector2d& b) {
  const Eigen::Vector2d way = b - a;
  const double length2 = way.squaredNorm();
  const double t = length2 > 0.0 ? std::clamp((point - a).dot(way) / length2, 0.0, 1.0) : 0.0;
  return (a + t * way - point).norm();
}

double segment_distance(const Eigen::Vector2d& a, const Eigen::Vector2d& b,
                        const Eigen::Vector2d& c, const Eigen::Vector2d& d) {
  if (segments_meet(a, b, c, d)) return 0.0;
  return std::min({distance_to_segment(a, c, d), distance_to_segment(b, c, d),
                   distance_to_segment(c, a, b), distance_to_segment(d, a, b)});
}

bool segments_meet(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& c,
                   const Eigen::Vector2d& d) {
  const double least = 1e-9;
  if (distance_to_segment(a, c, d) < least || distance_to_segment(b, c, d) < least ||
      distance_to_segment(c, a, b) < least || distance_to_segment(d, a, b) < least) {
    return true;
  }
  return (turn(a, b, c) > 0.0) != (turn(a, b, d) > 0.0) &&
         (turn(c, d, a) > 0.0) != (turn(c, d, b) > 0.0);
}

}  // namespace trammel
