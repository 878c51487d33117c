#include "trammel/geometry/point_grid.hpp"

#include <algorithm>
#include <cstdint>

#include "trammel/base/parallel.hpp"
#include "trammel/base/power_of_two.hpp"

namespace trammel {
namespace {

using Eigen::Array3d;
using Eigen::Index;
using Eigen::Vector3d;

/// Large and odd: boxes beside each other along x share a line of the cache, others lie apart.
constexpr std::uint64_t kAlongY = 0x9e3779b97f4a7c15U, kAlongZ = 0xc2b2ae3d27d4eb4fU;

std::uint64_t whole(double value) {
  return static_cast<std::uint64_t>(static_cast<std::int64_t>(value));
}

}  // namespace

PointGrid::PointGrid(const Eigen::Matrix3Xd& points_mm, const std::vector<Index>& chosen,
                     double radius_mm)
    : radius_mm_(radius_mm),
      mask_(power_of_two_from(chosen.size()) - 1),
      first_(mask_ + 2, 0),
      number_(chosen.size()),
      points_mm_(3, static_cast<Index>(chosen.size())) {
  std::vector<std::size_t> lot(chosen.size());
  for_each_index(chosen.size(), [&](std::size_t i) {
    lot[i] = lot_of((points_mm.col(chosen[i]).array() / radius_mm_).floor());
  });
  for (const std::size_t of : lot)
    ++first_[of + 1];
  for (std::size_t k = 1; k < first_.size(); ++k)
    first_[k] += first_[k - 1];
  std::vector<int> next(first_.begin(), first_.end() - 1);
  for (std::size_t i = 0; i < chosen.size(); ++i) {
    const int at = next[lot[i]]++;
    number_[static_cast<std::size_t>(at)] = chosen[i];
    points_mm_.col(at) = points_mm.col(chosen[i]);
  }
}

std::size_t PointGrid::lot_of(const Array3d& box) const {
  return (whole(box.x()) + kAlongY * whole(box.y()) + kAlongZ * whole(box.z())) & mask_;
}

PointGrid::Lots PointGrid::lots_about(const Vector3d& place_mm) const {
  const Array3d box = (place_mm.array() / radius_mm_).floor();
  Lots out{};
  for (int z = -1; z <= 1; ++z)
    for (int y = -1; y <= 1; ++y)
      for (int x = -1; x <= 1; ++x)
        out.lot[out.count++] = lot_of(box + Array3d(x, y, z));
  std::sort(out.lot.begin(), out.lot.end());
  const auto end = std::unique(out.lot.begin(), out.lot.end());
  out.count = static_cast<std::size_t>(end - out.lot.begin());
  return out;
}

bool PointGrid::any_near_in(std::size_t lot, const Vector3d& place_mm) const {
  for (int i = first_[lot]; i < first_[lot + 1]; ++i)
    if ((points_mm_.col(i) - place_mm).squaredNorm() <= radius_mm_ * radius_mm_) return true;
  return false;
}

bool PointGrid::any_near(const Vector3d& place_mm) const {
  if (any_near_in(lot_of((place_mm.array() / radius_mm_).floor()), place_mm)) return true;
  const Lots lots = lots_about(place_mm);
  return std::any_of(lots.lot.begin(), lots.lot.begin() + lots.count,
                     [&](std::size_t lot) { return any_near_in(lot, place_mm); });
}

}  // namespace trammel
