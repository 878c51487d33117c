#include "trammel/align/pair_votes.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

#include "trammel/base/constants.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

constexpr int kDistanceBins = 20;
constexpr int kAngleBins = 12;  // 15° each
constexpr int kTurnBins = 30;   // 12° each, about the reference normal
constexpr std::size_t kKeys =
    static_cast<std::size_t>(kDistanceBins) * kAngleBins * kAngleBins * kAngleBins;

int angle_bin(double cosine) {
  const double angle = std::acos(std::clamp(cosine, -1.0, 1.0));
  return std::min(kAngleBins - 1, static_cast<int>(angle / kPi * kAngleBins));
}

/// Key of a pair's four numbers; −1 for pairs that say nothing: too near, too far, or both in one
/// plane (every plane is full of those).
int key_of(const Eigen::Vector3d& p, const Eigen::Vector3d& n, const Eigen::Vector3d& q,
           const Eigen::Vector3d& m, double diagonal_mm) {
  const Eigen::Vector3d d = q - p;
  const double distance = d.norm();
  const int bin = static_cast<int>(distance / diagonal_mm * kDistanceBins);
  if (bin < 1 || bin >= kDistanceBins) return -1;
  const double at_p = n.dot(d) / distance, at_q = m.dot(d) / distance, between = n.dot(m);
  if (between > 0.98 && std::abs(at_p) < 0.15) return -1;
  return ((bin * kAngleBins + angle_bin(at_p)) * kAngleBins + angle_bin(at_q)) * kAngleBins +
         angle_bin(between);
}

/// Puts a point at the origin with its normal along x.
Eigen::Isometry3d to_x_axis(const Eigen::Vector3d& p, const Eigen::Vector3d& n) {
  Eigen::Isometry3d motion = Eigen::Isometry3d::Identity();
  const Eigen::Vector3d u = n.unitOrthogonal();
  motion.linear() << n.transpose(), u.transpose(), n.cross(u).transpose();
  motion.translation() = -(motion.linear() * p);
  return motion;
}

/// Turn about x in 1/65536 of a whole one, so that differences wrap round by themselves.
std::uint16_t turn_of(const Eigen::Isometry3d& T_local, const Eigen::Vector3d& q) {
  const Eigen::Vector3d v = T_local * q;
  return static_cast<std::uint16_t>(
      static_cast<int>(std::floor(std::atan2(v.z(), v.y()) / (2.0 * kPi) * 65536.0)));
}

/// All pairs of the design, sorted by key.
class PairTable {
 public:
  struct Entry {
    std::int32_t reference;
    std::uint16_t turn;
  };

  PairTable(const SurfaceSamples& design, Eigen::Index count, double diagonal_mm) {
    const auto size = static_cast<std::size_t>(count);
    std::vector<std::int32_t> keys(size * size);
    for_each_index(
        size,
        [&](std::size_t i) {
          for (std::size_t j = 0; j < size; ++j) {
            const auto a = static_cast<Eigen::Index>(i), b = static_cast<Eigen::Index>(j);
            keys[i * size + j] =
                key_of(design.points_mm.col(a), design.normals.col(a), design.points_mm.col(b),
                       design.normals.col(b), diagonal_mm);
          }
        },
        16);
    for (const std::int32_t key : keys)
      if (key >= 0) ++first_[static_cast<std::size_t>(key) + 1];
    for (std::size_t k = 0; k < kKeys; ++k)
      first_[k + 1] += first_[k];
    entries_.resize(first_[kKeys]);
    std::vector<std::uint32_t> next(first_.begin(), first_.end() - 1);
    for (std::size_t i = 0; i < size; ++i) {
      const auto a = static_cast<Eigen::Index>(i);
      const Eigen::Isometry3d local = to_x_axis(design.points_mm.col(a), design.normals.col(a));
      for (std::size_t j = 0; j < size; ++j) {
        const std::int32_t key = keys[i * size + j];
        if (key < 0) continue;
        entries_[next[static_cast<std::size_t>(key)]++] = {
            static_cast<std::int32_t>(i),
            turn_of(local, design.points_mm.col(static_cast<Eigen::Index>(j)))};
      }
    }
  }

  [[nodiscard]] const Entry* begin(int key) const {
    return entries_.data() + first_[static_cast<std::size_t>(key)];
  }
  [[nodiscard]] const Entry* end(int key) const {
    return entries_.data() + first_[static_cast<std::size_t>(key) + 1];
  }

 private:
  std::vector<std::uint32_t> first_ = std::vector<std::uint32_t>(kKeys + 1, 0);
  std::vector<Entry> entries_;
};

/// Votes of one reference point of the scan over (design point, turn about the normal).
class Ballot {
 public:
  explicit Ballot(Eigen::Index design_points)
      : votes_(static_cast<std::size_t>(design_points) * kTurnBins, 0) {}

  void add(std::int32_t reference, std::uint16_t turn) {
    ++votes_[static_cast<std::size_t>(reference * kTurnBins + (turn * kTurnBins >> 16))];
  }

  /// Slots with most votes; equals by lowest slot.
  [[nodiscard]] std::vector<std::size_t> best(int count) const {
    std::vector<std::size_t> order(votes_.size());
    for (std::size_t i = 0; i < order.size(); ++i)
      order[i] = i;
    const auto last =
        order.begin() + std::min<std::ptrdiff_t>(count, static_cast<std::ptrdiff_t>(order.size()));
    std::partial_sort(order.begin(), last, order.end(), [&](std::size_t a, std::size_t b) {
      return votes_[a] != votes_[b] ? votes_[a] > votes_[b] : a < b;
    });
    order.erase(last, order.end());
    return order;
  }

 private:
  std::vector<std::uint16_t> votes_;
};

struct Oriented {
  Eigen::Vector3d point, normal;
};

std::vector<Eigen::Isometry3d> poses_of_reference(const PairTable& table,
                                                  const SurfaceSamples& design, double diagonal_mm,
                                                  const ScanSample& scan, const Oriented& reference,
                                                  const PairVoteSettings& settings) {
  const Eigen::Isometry3d local = to_x_axis(reference.point, reference.normal);
  const Eigen::Index design_points = std::min(settings.design_points, design.points_mm.cols());
  Ballot ballot(design_points);
  for (Eigen::Index j = 0; j < std::min(settings.scan_points, scan.size()); ++j)
    for (const double sign : {1.0, -1.0}) {
      if (scan.oriented && sign < 0.0) continue;
      const Eigen::Vector3d q = scan.points_mm.col(j);
      const int key =
          key_of(reference.point, reference.normal, q, sign * scan.normals.col(j), diagonal_mm);
      if (key < 0) continue;
      const std::uint16_t turn = turn_of(local, q);
      for (const auto* entry = table.begin(key); entry != table.end(key); ++entry)
        ballot.add(entry->reference, static_cast<std::uint16_t>(entry->turn - turn));
    }

  std::vector<Eigen::Isometry3d> poses;
  for (const std::size_t slot : ballot.best(settings.poses_per_reference)) {
    const auto at = static_cast<Eigen::Index>(slot) / kTurnBins;
    const double turn = 2.0 * kPi * (static_cast<double>(slot % kTurnBins) + 0.5) / kTurnBins;
    const Eigen::Isometry3d to_design =
        to_x_axis(design.points_mm.col(at), design.normals.col(at)).inverse();
    poses.push_back(to_design * Eigen::AngleAxisd(turn, Eigen::Vector3d::UnitX()) * local);
  }
  return poses;
}

}  // namespace

struct PairVotes::Parts {
  const SurfaceSamples& design;
  double diagonal_mm;
  Eigen::Index design_points;
  PairTable table;
};

PairVotes::PairVotes(const SurfaceSamples& design, double diagonal_mm, Eigen::Index design_points) {
  const Eigen::Index count = std::min(design_points, design.points_mm.cols());
  parts_ = std::make_unique<Parts>(
      Parts{design, diagonal_mm, count, PairTable(design, count, diagonal_mm)});
}

PairVotes::~PairVotes() = default;
PairVotes::PairVotes(PairVotes&&) noexcept = default;
PairVotes& PairVotes::operator=(PairVotes&&) noexcept = default;

std::vector<Eigen::Isometry3d> PairVotes::poses(const ScanSample& scan,
                                                const PairVoteSettings& as_asked) const {
  PairVoteSettings settings = as_asked;
  settings.design_points = parts_->design_points;
  std::vector<Oriented> references;
  for (Eigen::Index i = 0; i < std::min(settings.reference_points, scan.size()); ++i) {
    references.push_back({scan.points_mm.col(i), scan.normals.col(i)});
    if (!scan.oriented) references.push_back({scan.points_mm.col(i), -scan.normals.col(i)});
  }
  std::vector<std::vector<Eigen::Isometry3d>> found(references.size());
  for_each_index(
      references.size(),
      [&](std::size_t i) {
        found[i] = poses_of_reference(parts_->table, parts_->design, parts_->diagonal_mm, scan,
                                      references[i], settings);
      },
      1);
  std::vector<Eigen::Isometry3d> poses;
  for (const auto& some : found)
    poses.insert(poses.end(), some.begin(), some.end());
  return poses;
}

std::vector<Eigen::Isometry3d> poses_from_pairs(const SurfaceSamples& design, double diagonal_mm,
                                                const ScanSample& scan,
                                                const PairVoteSettings& settings) {
  return PairVotes(design, diagonal_mm, settings.design_points).poses(scan, settings);
}

}  // namespace trammel
