#pragma once

#include <Eigen/Core>
#include <vector>

namespace trammel {

/// Draws lots by place: the same in whatever order points come, and without regard to what the
/// surface is there.
class LotsByPlace {
 public:
  /// @param points  3 × n, of which the fineness of a place is taken
  explicit LotsByPlace(const Eigen::Matrix3Xd& points);
  /// The points have places at all: they are not all at the origin.
  [[nodiscard]] bool can_draw() const { return step_ > 0.0; }
  /// Uniform in [0, 1) over places; 1 for a point too far off to have one.
  [[nodiscard]] double lot(const Eigen::Vector3d& p) const;

 private:
  double step_ = 0.0, per_step_ = 0.0;
};

/// About `count` of the points, spread evenly among them, chosen by where they lie: the same ones
/// in whatever order they come. Where their places choose far fewer (many points in few places),
/// and where there are no more than `count`, every nth point in their order.
/// @param points  3 × n; points that are not finite are never chosen
/// @return numbers of the points, ascending
[[nodiscard]] std::vector<Eigen::Index> chosen_by_place(const Eigen::Matrix3Xd& points,
                                                        Eigen::Index count);

}  // namespace trammel
