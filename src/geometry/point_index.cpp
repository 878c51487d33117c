#include "trammel/geometry/point_index.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <nanoflann.hpp>
#include <utility>
#include <vector>

#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr std::size_t kLeafPoints = 12;

/// Columns of a matrix, as nanoflann wants to see them.
struct Columns {
  const Eigen::Matrix3Xd& points;
  std::vector<int> chosen;  ///< empty: all
  [[nodiscard]] std::size_t kdtree_get_point_count() const {
    return chosen.empty() ? static_cast<std::size_t>(points.cols()) : chosen.size();
  }
  [[nodiscard]] int number_of(std::size_t index) const {
    return chosen.empty() ? static_cast<int>(index) : chosen[index];
  }
  [[nodiscard]] double kdtree_get_pt(std::uint32_t index, std::size_t axis) const {
    return points(static_cast<Eigen::Index>(axis), number_of(index));
  }
  template <class Bounds>
  bool kdtree_get_bbox(Bounds&) const {
    return false;
  }
};

struct Hit {
  double square;
  std::uint32_t index;
  [[nodiscard]] bool operator<(const Hit& other) const {
    return square != other.square ? square < other.square : index < other.index;
  }
};

/// The `capacity` best hits in order of (distance, index).
///
/// nanoflann drops what is not strictly below worstDist(), and which of several equally far points
/// it meets first follows from the tree. So worstDist() lies one step of the double above the
/// truth: equals are offered, and the index decides.
class BestHits {
 public:
  using DistanceType = double;  // names that nanoflann asks for
  BestHits(std::size_t capacity, double square_limit)
      : capacity_(capacity), limit_(square_limit), above_(std::nextafter(square_limit, kInfinity)) {
    hits_.reserve(std::min<std::size_t>(capacity, 64) + 1);
  }
  [[nodiscard]] double worstDist() const { return above_; }
  [[nodiscard]] bool full() const { return hits_.size() >= capacity_; }
  [[nodiscard]] std::size_t size() const { return hits_.size(); }
  bool addPoint(double square, std::uint32_t index) {
    const Hit hit{square, index};
    if (square > limit_) return true;
    hits_.insert(std::upper_bound(hits_.begin(), hits_.end(), hit), hit);
    if (hits_.size() > capacity_) hits_.pop_back();
    if (hits_.size() == capacity_) above_ = std::nextafter(hits_.back().square, kInfinity);
    return true;
  }
  [[nodiscard]] const std::vector<Hit>& hits() const { return hits_; }

 private:
  std::size_t capacity_;
  double limit_;
  double above_;  ///< the least double above all that is still wanted
  std::vector<Hit> hits_;
};

/// All hits up to a limit, in the order met.
class HitsWithin {
 public:
  using DistanceType = double;
  explicit HitsWithin(double square_limit) : limit_(square_limit) {}
  [[nodiscard]] double worstDist() const { return std::nextafter(limit_, kInfinity); }
  [[nodiscard]] bool full() const { return true; }
  [[nodiscard]] std::size_t size() const { return hits_.size(); }
  bool addPoint(double square, std::uint32_t index) {
    hits_.push_back({square, index});
    return true;
  }
  [[nodiscard]] std::vector<Hit>& hits() { return hits_; }

 private:
  double limit_;
  std::vector<Hit> hits_;
};

std::vector<Neighbour> neighbours_of(const std::vector<Hit>& hits, const Columns& columns) {
  std::vector<Neighbour> result;
  result.reserve(hits.size());
  for (const Hit& hit : hits)
    result.push_back({columns.number_of(hit.index), std::sqrt(hit.square)});
  return result;
}

/// Boxes are pruned a hair late: their distances are sums of rounded terms, and a point exactly at
/// the limit must not be lost to that.
nanoflann::SearchParams careful_search() {
  return {32, -1e-6F, false};
}

}  // namespace

struct PointIndex::Tree {
  using Metric = nanoflann::L2_Simple_Adaptor<double, Columns>;
  using Index = nanoflann::KDTreeSingleIndexAdaptor<Metric, Columns, 3, std::uint32_t>;

  Tree(const Eigen::Matrix3Xd& points, std::vector<int> chosen)
      : columns{points, std::move(chosen)},
        index(3, columns, nanoflann::KDTreeSingleIndexAdaptorParams(kLeafPoints)) {
    if (!empty()) index.buildIndex();
  }
  [[nodiscard]] bool empty() const { return columns.kdtree_get_point_count() == 0; }

  Columns columns;
  Index index;
};

PointIndex::PointIndex(const Eigen::Matrix3Xd& points_mm)
    : tree_(std::make_unique<Tree>(points_mm, std::vector<int>{})) {}
PointIndex::PointIndex(const Eigen::Matrix3Xd& points_mm, std::vector<int> chosen)
    : tree_(std::make_unique<Tree>(points_mm, std::move(chosen))) {}
PointIndex::~PointIndex() = default;
PointIndex::PointIndex(PointIndex&&) noexcept = default;
PointIndex& PointIndex::operator=(PointIndex&&) noexcept = default;

std::vector<Neighbour> PointIndex::nearest(const Eigen::Vector3d& point_mm, int count,
                                           double radius_mm) const {
  if (tree_->empty() || count <= 0 || !(radius_mm >= 0.0)) return {};
  BestHits best(static_cast<std::size_t>(count),
                std::min(radius_mm * radius_mm, std::numeric_limits<double>::max()));
  tree_->index.findNeighbors(best, point_mm.data(), careful_search());
  return neighbours_of(best.hits(), tree_->columns);
}

std::vector<Neighbour> PointIndex::within(const Eigen::Vector3d& point_mm, double radius_mm) const {
  if (tree_->empty() || !(radius_mm >= 0.0)) return {};
  HitsWithin within(radius_mm * radius_mm);
  tree_->index.findNeighbors(within, point_mm.data(), careful_search());
  std::sort(within.hits().begin(), within.hits().end());
  return neighbours_of(within.hits(), tree_->columns);
}

double median_spacing_mm(const Eigen::Matrix3Xd& points_mm, const PointIndex& index) {
  constexpr Eigen::Index kMostPoints = 4000;
  const Eigen::Index count = std::min(points_mm.cols(), kMostPoints);
  if (points_mm.cols() < 2) return 0.0;
  std::vector<double> spacing;
  spacing.reserve(static_cast<std::size_t>(count));
  for (Eigen::Index i = 0; i < count; ++i) {
    const Eigen::Index at = i * points_mm.cols() / count;
    spacing.push_back(index.nearest(points_mm.col(at), 2).back().distance_mm);
  }
  return median_of(spacing);
}

}  // namespace trammel
