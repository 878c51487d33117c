#pragma once

/// Poses from pairs of oriented points: found also under clutter, and when only one side was seen.
///
/// Two points with normals have a distance and three angles that no motion changes. Pairs of the
/// scan vote, by these four numbers, for pairs of the design and so for poses [Drost, Ulrich, Navab
/// & Ilic 2010, CVPR, "Model globally, match locally", doi:10.1109/CVPR.2010.5540108].

#include <Eigen/Geometry>
#include <memory>
#include <vector>

#include "trammel/align/scan_sample.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {

struct PairVoteSettings {
  Eigen::Index design_points = 500;    ///< first so many samples of the design
  Eigen::Index scan_points = 900;      ///< first so many points of the scan
  Eigen::Index reference_points = 60;  ///< of the scan, that are paired with all others
  int poses_per_reference = 12;
};

/// The pairs of a design, sorted once for any number of votes.
class PairVotes {
 public:
  /// @param design       must outlive it
  /// @param diagonal_mm  of the design's box: farther points are not paired
  PairVotes(const SurfaceSamples& design, double diagonal_mm, Eigen::Index design_points);
  ~PairVotes();
  PairVotes(PairVotes&&) noexcept;
  PairVotes& operator=(PairVotes&&) noexcept;

  /// Poses with most votes, reference point by reference point; most are wrong, so score them.
  /// @param settings  but for `design_points`, which is settled
  [[nodiscard]] std::vector<Eigen::Isometry3d> poses(const ScanSample& scan,
                                                     const PairVoteSettings& settings) const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

/// The same for one scan.
[[nodiscard]] std::vector<Eigen::Isometry3d> poses_from_pairs(
    const SurfaceSamples& design, double diagonal_mm, const ScanSample& scan,
    const PairVoteSettings& settings = {});

}  // namespace trammel
