#pragma once

/// Everything one comparison of an old and a new scan knows. Reports read this and nothing else.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <cstdint>
#include <string>
#include <vector>

#include "trammel/base/run_info.hpp"
#include "trammel/model/alignment.hpp"
#include "trammel/model/inspection.hpp"
#include "trammel/model/scan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// What is concluded of two scans.
enum class ChangesOutcome { Unchanged, Changed, Undecided };
/// "unchanged", "changed", "undecided".
[[nodiscard]] std::string outcome_name(ChangesOutcome outcome);

struct ChangesSettings {
  double least_mm = 0.2;        ///< a smaller change does not matter
  double uncertainty_mm = 0.0;  ///< U (k = 2) of a reading that does not average out, either scan
  double least_coverage = 0.6;  ///< share of the old area seen again, for "unchanged"
  double most_unsure_share = 0.1;  ///< of the common area, for "unchanged"
  Eigen::Index most_points = 0;    ///< of each scan; 0: as many as can be used
};

/// Where the new scan lies on the old one, with everything needed to doubt it.
struct ScanFit {
  /// As of a scan on a design: read T_design_scan as T_old_new, mm.
  Alignment alignment;
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< old frame
  /// Of (rotation about `center_mm`, translation), old frame; rad, mm.
  Matrix6d covariance = Matrix6d::Zero();
  double noise_mm = 0.0;             ///< 1 σ across the surface, the larger of both scans
  bool sides_known = false;          ///< both scans have normals that tell outside from inside
  bool sides_told_by_sheet = false;  ///< and those of one at least from both faces of thin sheet

  [[nodiscard]] const Eigen::Isometry3d& T_old_new() const { return alignment.T_design_scan; }
  /// 1 σ of the pose at a place, along a direction. @param normal  unit, old frame
  [[nodiscard]] double standard_error_mm(const Eigen::Vector3d& p_old,
                                         const Eigen::Vector3d& normal) const;
};

/// Lengths that the measuring of change works with, all from the data, mm.
struct ChangeScales {
  double normal_mm = 0.0;     ///< diameter D of the ball that a core point's normal comes from
  double cylinder_mm = 0.0;   ///< diameter d of the projection cylinder
  double depth_mm = 0.0;      ///< how far along the normal, to either side, is looked
  double core_mm = 0.0;       ///< core points lie no nearer to each other
  double roughness_mm = 0.0;  ///< median spread of the old scan about its planes of diameter D
};

/// What became of a core point.
enum class CoreState : std::uint8_t {
  Same,     ///< proven: |change| + detectable ≤ least
  Changed,  ///< beyond the level of detection and beyond `least`
  Unsure,   ///< seen in both, neither proven
  OnlyOld,  ///< the other scan has nothing there that could be the same surface
};

/// Points spread evenly over one scan, each with a piece of its surface. Slots of all members
/// correspond; #C. Absence is NaN and 0 counts.
struct CorePoints {
  Eigen::Matrix3Xd points_mm;     ///< 3 × #C, old frame
  Eigen::Matrix3Xd normals;       ///< 3 × #C, unit, outward as far as that is known
  Eigen::VectorXd area_mm2;       ///< #C
  Eigen::VectorXd change_mm;      ///< #C, + proud of the old surface; NaN where not measured
  Eigen::VectorXd detectable_mm;  ///< #C level of detection at 95 %; NaN where not measured
  Eigen::VectorXd random_mm;      ///< #C 1 σ of the change without the pose; NaN as above
  std::vector<CoreState> state;   ///< #C
  std::vector<int> change;        ///< #C id of the change that it is part of, 0 in none
  [[nodiscard]] Eigen::Index size() const { return points_mm.cols(); }
};

/// A connected patch of changed surface.
struct Change {
  int id = 0;  ///< 1 is the largest by volume
  RegionKind kind = RegionKind::Proud;
  double peak_mm = 0.0;        ///< signed extreme after noise is averaged out
  double mean_mm = 0.0;        ///< signed, weighted by area
  double area_mm2 = 0.0;       ///< of the old surface
  double volume_mm3 = 0.0;     ///< signed
  double detectable_mm = 0.0;  ///< level of detection at its peak
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< on the old surface, old frame
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();    ///< of the old surface there
};

/// A place that one scan alone shows, and of which nothing tells that the other merely missed it:
/// taken away or added since, or not scanned (changes/open_places.hpp, changes/lone_surfaces.hpp).
struct OpenPlace {
  bool in_old = true;  ///< shown by the old scan alone; else by the new one alone
  double area_mm2 = 0.0;
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< on the surface, old frame
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();
};

/// Areas, mm².
struct ChangesCoverage {
  double old_mm2 = 0.0, new_mm2 = 0.0;  ///< of each scan
  double common_mm2 = 0.0;              ///< of the old surface that was seen again
  double only_old_mm2 = 0.0, only_new_mm2 = 0.0;
  double same_mm2 = 0.0, changed_mm2 = 0.0, unsure_mm2 = 0.0;  ///< of the common area
  [[nodiscard]] double common_share() const { return old_mm2 > 0.0 ? common_mm2 / old_mm2 : 0.0; }
};

/// File facts of one of the scans.
struct ScanFile {
  std::string file, sha256;
  std::size_t points = 0;  ///< in the file; tidied are `ChangesSettings::most_points` at most
  UnitChoice units;
  TidyCounts tidy;
};

struct Changes {
  RunInfo run;
  ChangesSettings settings;
  ScanFile old_file, new_file;
  ScanFit fit;
  ChangeScales scales;
  double least_area_mm2 = 0.0;  ///< a smaller patch is no change
  CorePoints cores;             ///< of the old scan
  CorePoints new_only;          ///< of the new scan, where the old one has nothing; not measured
  std::vector<Change> changes;
  std::vector<OpenPlace> open_places;  ///< largest first
  ChangesCoverage coverage;
  double typical_detectable_mm = 0.0;  ///< median over the common area; NaN when there is none
  ChangesOutcome outcome = ChangesOutcome::Undecided;
  std::vector<std::string> reasons;  ///< why, one sentence each; never empty
  std::vector<std::string> notes;    ///< what a careful reader should know
};

}  // namespace trammel
