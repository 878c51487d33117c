#include "trammel/changes/m3c2.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

bool faces(const Cloud& cloud, int point, const Eigen::Vector3d& normal,
           const M3c2Settings& settings) {
  if (settings.least_facing < -0.5 || cloud.normals.cols() == 0) return true;
  return cosine_between(cloud.normals.col(point), normal, settings.sides_known) >=
         settings.least_facing;
}

/// Looks along the axis piece by piece, so that a long thin cylinder costs no wide ball.
class AxisSearch {
 public:
  AxisSearch(const Cloud& cloud, const Eigen::Vector3d& core, const Eigen::Vector3d& normal,
             const M3c2Settings& settings)
      : cloud_(cloud), core_(core), normal_(normal), settings_(settings) {
    const double radius = 0.5 * settings.cylinder_mm;
    const bool in_one = !std::isfinite(settings.layer_gap_mm);
    piece_mm_ = in_one ? 2.0 * settings.depth_mm
                       : std::min(2.0 * settings.depth_mm,
                                  std::max(settings.cylinder_mm, 2.0 * settings.layer_gap_mm));
    ball_mm_ = 1.000001 * std::hypot(radius, 0.5 * piece_mm_);
    last_ = static_cast<int>(std::floor(settings.depth_mm / piece_mm_ + 0.5));
  }

  [[nodiscard]] int last() const { return last_; }
  [[nodiscard]] int piece_of(double t) const {
    return std::clamp(static_cast<int>(std::floor(t / piece_mm_ + 0.5)), -last_, last_);
  }

  /// Adds the places along the axis of the points in piece k: t in [(k − ½), (k + ½)) pieces.
  void add(int piece, std::vector<double>& places) const {
    const Eigen::Vector3d center = core_ + piece * piece_mm_ * normal_;
    const double radius2 = 0.25 * settings_.cylinder_mm * settings_.cylinder_mm;
    for (const Neighbour& n : cloud_.index.within(center, ball_mm_)) {
      const Eigen::Vector3d d = cloud_.points_mm.col(n.index) - core_;
      const double t = d.dot(normal_);
      if (std::abs(t) > settings_.depth_mm || piece_of(t) != piece) continue;
      if (d.squaredNorm() - t * t > radius2 || !faces(cloud_, n.index, normal_, settings_))
        continue;
      places.push_back(t);
    }
  }

 private:
  const Cloud& cloud_;
  const Eigen::Vector3d& core_;
  const Eigen::Vector3d& normal_;
  const M3c2Settings& settings_;
  double piece_mm_ = 0.0, ball_mm_ = 0.0;
  int last_ = 0;
};

struct Layer {
  std::size_t first, last;  ///< of the sorted places, one past the end
};

/// Runs of sorted places without a gap, of enough points.
std::vector<Layer> layers_of(const std::vector<double>& places, const M3c2Settings& settings) {
  std::vector<Layer> layers;
  std::size_t first = 0;
  for (std::size_t i = 1; i <= places.size(); ++i) {
    if (i < places.size() && places[i] - places[i - 1] <= settings.layer_gap_mm) continue;
    if (i - first >= static_cast<std::size_t>(settings.least_points)) layers.push_back({first, i});
    first = i;
  }
  return layers;
}

CylinderMean mean_of(const std::vector<double>& places, const Layer& layer) {
  constexpr std::size_t kFewestOfAFace = 3;
  RunningStats stats;
  double split_mm = 0.0;
  for (std::size_t i = layer.first; i < layer.last; ++i) {
    stats.add(places[i]);
    if (i >= layer.first + kFewestOfAFace && i + kFewestOfAFace <= layer.last)
      split_mm = std::max(split_mm, places[i] - places[i - 1]);
  }
  const auto n = static_cast<double>(stats.count());
  return {stats.mean(), stats.stddev() * std::sqrt((n - 1.0) / n), static_cast<int>(stats.count()),
          places[layer.last - 1] - places[layer.first], split_mm};
}

double distance_to(const std::vector<double>& places, const Layer& layer, double at) {
  if (at < places[layer.first]) return places[layer.first] - at;
  return std::max(0.0, at - places[layer.last - 1]);
}

}  // namespace

bool M3c2Reading::may_be_two_faces() const {
  constexpr double kEmpty = 1.0 / 3.0;  // of 25 points on a slope one in 700 layers
  const auto could = [&](const CylinderMean& mean) {
    return mean.split_mm > kEmpty * mean.width_mm && std::abs(change_mm) <= mean.width_mm;
  };
  return could(before) || could(after);
}

std::optional<CylinderMean> mean_in_cylinder(const Cloud& cloud, const Eigen::Vector3d& core,
                                             const Eigen::Vector3d& normal, double at_mm,
                                             const M3c2Settings& settings) {
  TRAMMEL_CHECK(settings.cylinder_mm > 0.0 && settings.depth_mm > 0.0, "a cylinder has a size");
  const AxisSearch search(cloud, core, normal, settings);
  const int start = search.piece_of(at_mm);
  std::vector<double> places;
  // From the start outwards, one piece more to either side than the nearest layer needs: it may
  // run on, or another one on the other side may be nearer.
  int extra = 0;
  for (int step = 0; step <= 2 * search.last(); ++step) {
    if (start + step <= search.last()) search.add(start + step, places);
    if (step > 0 && start - step >= -search.last()) search.add(start - step, places);
    std::sort(places.begin(), places.end());
    if (!layers_of(places, settings).empty() && ++extra > 1) break;
  }
  const auto layers = layers_of(places, settings);
  if (layers.empty()) return std::nullopt;
  const auto nearest =
      std::min_element(layers.begin(), layers.end(), [&](const Layer& a, const Layer& b) {
        return distance_to(places, a, at_mm) < distance_to(places, b, at_mm);
      });
  return mean_of(places, *nearest);
}

std::optional<M3c2Reading> m3c2(const Cloud& before, const Cloud& after,
                                const Eigen::Vector3d& core, const Eigen::Vector3d& normal,
                                double registration_mm, const M3c2Settings& settings) {
  const auto old_mean = mean_in_cylinder(before, core, normal, 0.0, settings);
  if (!old_mean) return std::nullopt;
  const auto new_mean = mean_in_cylinder(after, core, normal, old_mean->mean_mm, settings);
  if (!new_mean) return std::nullopt;
  M3c2Reading out{*old_mean, *new_mean};
  out.change_mm = new_mean->mean_mm - old_mean->mean_mm;
  if (std::abs(out.change_mm) > settings.layer_gap_mm) {
    // Does the old scan show a surface there as well? Then it is that one which is seen.
    const auto other = mean_in_cylinder(before, core, normal, new_mean->mean_mm, settings);
    if (other && std::abs(other->mean_mm - new_mean->mean_mm) < 0.5 * std::abs(out.change_mm))
      return std::nullopt;
  }
  const auto square_error = [](const CylinderMean& m) {
    return m.spread_mm * m.spread_mm / m.points;
  };
  out.random_mm = std::sqrt(square_error(out.before) + square_error(out.after));
  out.detectable_mm = kNormal95 * (out.random_mm + registration_mm);
  return out;
}

}  // namespace trammel
