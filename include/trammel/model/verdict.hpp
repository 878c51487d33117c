#pragma once

/// What is concluded: regions, holes, coverage, uncertainty and the verdict with its reasons.

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/model/flaw.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/model/plan.hpp"

namespace trammel {

/// Listed: too small to be judged by the plan, shown all the same.
enum class Outcome { Pass, Fail, Undecided, Listed };
enum class RegionKind { Proud, Shy };

/// What a place is where the design's surface is not there at all, rather than off.
enum class Absence {
  None,      ///< a surface was scanned: it is proud or shy
  Material,  ///< material is missing, in no shape that has a name
  Feature,   ///< what the design has there was not made: the surface that it stands on was scanned
  Hole,      ///< a round hole that the design does not have
};

/// "pass", "fail", "undecided", "listed".
[[nodiscard]] std::string outcome_name(Outcome outcome);
/// "proud" or "shy".
[[nodiscard]] std::string kind_name(RegionKind kind);
/// "none", "material", "feature", "hole".
[[nodiscard]] std::string absence_name(Absence absence);
/// The worse of two: fail before undecided before pass; listed counts as pass.
[[nodiscard]] Outcome worse(Outcome a, Outcome b);
/// What the program ends with; listed counts as undecided.
[[nodiscard]] ExitCode exit_code_of(Outcome outcome);

struct Region {
  int id = 0;  ///< balloon number; 1 is the worst
  RegionKind kind = RegionKind::Proud;
  /// Signed: what a quarter of the least area that is judged is off by at least, of what is off the
  /// most, after noise is averaged out. Of missing surface the depth that is known to be missing.
  double peak_mm = 0.0;
  double mean_mm = 0.0;   ///< signed, weighted by area; without missing surface where some is there
  double area_mm2 = 0.0;  ///< of the design's surface
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< on the design's surface
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();    ///< of the design at the centre
  Eigen::Vector3d size_mm = Eigen::Vector3d::Zero();    ///< of its box, along the design's axes
  double limit_mm = 0.0;  ///< the band's limit on its side, as positive mm
  int points = 0;         ///< scan points whose own readings lie outside the band here
  std::string zone;       ///< name of the plan's zone, or empty
  Outcome outcome = Outcome::Undecided;
  bool runs_into_unseen = false;     ///< small as far as seen, but may go on where nothing was seen
  bool adds_up = false;              ///< small alone, but not with the places beside it, or by what
                                     ///< was scanned beyond the limit there
  bool explained = false;            ///< most of it is made by one of the part's flaws
  bool of_feature = false;           ///< it is the wall of a hole, pin or slot that is out or was
                                     ///< not made: what is wrong is told there
  std::optional<double> conformity;  ///< probability that its peak truly lies within its limit
                                     ///< (JCGM 106); absent when the pose is in doubt
  Absence absence = Absence::None;   ///< of most of it
  double missing_mm2 = 0.0;          ///< of its area, where the surface is not there
  std::optional<double> hole_mm{};   ///< diameter of a hole that the design does not have
  /// Of a feature that fails, and of what is cut away through an edge, the box, along the design's
  /// axes, of what is not there.
  std::optional<Box> lacks{};
  int told_with = 0;  ///< id of a larger region that fails and is of the same piece; 0: none
};

/// The region is of the same piece as a larger one that fails, and is told with that.
/// @param regions  all, each at its id less 1
[[nodiscard]] bool is_told_with_larger(const std::vector<Region>& regions, const Region& region);

enum class HoleState {
  Measured,
  Closed,   ///< of a hole or slot: a scanned surface lies across it
  Missing,  ///< of a pin: a scanned surface lies where it should stand
  Unseen,   ///< neither its wall nor such a surface was seen well enough
};
/// "measured", "closed", "missing" or "unseen".
[[nodiscard]] std::string state_name(HoleState state);
/// It was not made: closed or missing.
[[nodiscard]] inline bool is_absent(HoleState state) {
  return state == HoleState::Closed || state == HoleState::Missing;
}

struct HoleResult {
  std::string name;
  Eigen::Vector3d nominal_mm = Eigen::Vector3d::Zero();  ///< centre in the design
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();
  double nominal_diameter_mm = 0.0;
  double depth_mm = 0.0;              ///< of the wall in the design
  std::optional<double> position_mm;  ///< 2·√(dx² + dy²) (ISO 1101); absent when not measured
  std::optional<Eigen::Vector3d> offset_mm;  ///< measured centre − nominal centre, across the axis
  std::optional<double> diameter_mm;         ///< least-squares diameter
  double standard_error_mm = 0.0;            ///< 1 σ of a coordinate of the centre
  int points = 0;                            ///< of the wall, or the faces, that were fitted
  int rims = 0;                              ///< 0: by its wall; 1, 2: by so many rims
  std::vector<std::string> reasons;          ///< what is out, or why it is undecided
  Outcome outcome = Outcome::Undecided;
  std::optional<double> free_width_mm;  ///< for a bolt along the design's axis: the narrowest
                                        ///< width, less what the hole leans from end to end
  std::optional<double> conformity;     ///< probability (JCGM 106) of position and size to lie
                                        ///< within their limits, the less likely of the two
  double play_uncertainty_mm = 0.0;     ///< U (k = 2) of half that width and of the centre together
  RoundKind kind = RoundKind::Hole;
  HoleState state = HoleState::Unseen;
  double above_mm = 0.0;  ///< of the wall in the design, from `nominal_mm` along the axis
  /// How far the measured axis leans from end to end of the wall; only where it leans beyond doubt,
  /// and by more than U of a reading.
  std::optional<double> tilt_mm;
};

/// A hole that must be made wider so that its bolt goes through with the others.
struct HoleOpening {
  std::string hole;
  double diameter_mm = 0.0;                           ///< round, about its present axis
  double slot_mm = 0.0;                               ///< or longer by this much, towards the bolt
  Eigen::Vector3d towards = Eigen::Vector3d::Zero();  ///< unit; zero: the bolt stands in its middle
};

/// Whether the bolts of a group go through together.
struct BoltUp {
  std::string group;  ///< empty for the group of all holes without one
  Outcome outcome = Outcome::Undecided;
  double play_mm = 0.0;         ///< left around the tightest bolt in the best place; < 0: it lacks
  double uncertainty_mm = 0.0;  ///< U (k = 2) of the play
  Eigen::Vector3d shift_mm = Eigen::Vector3d::Zero();  ///< of the part, to that place
  double turn_rad = 0.0;                               ///< of the part, about the first hole's axis
  /// The fewest; empty when it bolts up, and when a mate's pattern is another one altogether: a
  /// hole would have to be moved by more than its bolt is wide.
  std::vector<HoleOpening> openings;
  std::string words;  ///< one sentence
  /// File name and SHA-256 of the scan that the bolts' places are from; empty: they are the
  /// design's. The part's place on such a mate is free: `shift_mm` and `turn_rad` are 0 then.
  std::string mate{}, mate_sha256{};
  bool is_another_pattern = false;  ///< than the mate's: a hole would have to be moved right away
};

/// A distance of the plan: between two holes, two faces, or a hole and a face.
struct DistanceResult {
  std::string name;
  std::string
      measured_as;  ///< "between two faces, at the places given, along X": what was measured
  std::optional<double> drawn_mm;           ///< in the design; absent when it has no such distance
  std::optional<double> nominal_mm;         ///< what the limits are counted from
  std::optional<double> least_mm, most_mm;  ///< limits of the distance
  std::string tolerance_class;              ///< "ISO 2768-m"; empty when the plan gives figures
  std::optional<double> actual_mm;          ///< measured in the scan
  double uncertainty_mm = 0.0;              ///< U (k = 2) of `actual_mm`
  std::optional<double> lean_rad;           ///< of two faces against each other, beyond the design
  Eigen::Vector3d from_mm = Eigen::Vector3d::Zero();  ///< in the design
  Eigen::Vector3d to_mm = Eigen::Vector3d::Zero();
  std::vector<std::string> reasons;  ///< what is out, or why it is undecided
  Outcome outcome = Outcome::Undecided;
  std::optional<double> conformity;  ///< probability that it truly lies within (JCGM 106)
};

/// Flatness, parallelism, perpendicularity, an angle or a thickness of the plan. Figures are mm, of
/// an angle radians.
struct FormResult {
  std::string name;
  FormKind kind = FormKind::Flatness;
  std::string measured_as;            ///< which faces, and what was measured of them
  std::optional<double> nominal;      ///< of an angle or thickness; limits are counted from it
  std::optional<double> least, most;  ///< limits; the others have only `most`
  std::string tolerance_class{};      ///< "ISO 2768-K"; empty when the plan gives figures
  std::optional<double> actual;       ///< measured in the scan; of a thickness the local one that
                                      ///< lies nearest to its limits, or farthest beyond them
  std::optional<double> lowest, highest;            ///< of a thickness: of all places of the wall
  double uncertainty = 0.0;                         ///< U (k = 2) of `actual`
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();  ///< in the design
  std::optional<Eigen::Vector3d> other_mm;          ///< on the datum or other face
  std::vector<std::string> reasons;                 ///< what is out, or why it is undecided
  Outcome outcome = Outcome::Undecided;
  std::optional<double> conformity;  ///< probability that it truly lies within (JCGM 106)
};

/// A round hole of the design that the plan does not name: listed, not judged.
struct OtherHole {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< in the design, at mid depth
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();
  double drawn_diameter_mm = 0.0, depth_mm = 0.0;
  HoleState state = HoleState::Unseen;
  std::optional<double> diameter_mm;         ///< least squares; absent unless measured
  std::optional<Eigen::Vector3d> offset_mm;  ///< measured centre − drawn centre, across the axis
  double standard_error_mm = 0.0;            ///< 1 σ of a coordinate of the centre
  int points = 0;                            ///< wall points that were fitted
  std::string reason;  ///< why it was not measured, or by one rim alone; else empty
};

/// A slot of the plan, or one of the design that the plan does not name: that one is listed, not
/// judged, and has no name.
struct SlotResult {
  std::string name;
  Eigen::Vector3d nominal_mm = Eigen::Vector3d::Zero();  ///< middle in the design, at mid depth
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();
  Eigen::Vector3d along = Eigen::Vector3d::UnitX();  ///< unit, its long direction in the design
  double nominal_width_mm = 0.0, nominal_length_mm = 0.0;  ///< overall; 0: the design has no such
                                                           ///< slot
  double depth_mm = 0.0;                                   ///< of the wall in the design
  bool is_through = false;                                 ///< in the design
  HoleState state = HoleState::Unseen;
  std::optional<double> position_mm;         ///< absent, as all figures below, when not measured
  std::optional<Eigen::Vector3d> offset_mm;  ///< measured middle − that of the design, across the
                                             ///< axis
  std::optional<double> turn_rad;  ///< of the long direction about the axis, against the design
  std::optional<double> width_mm, length_mm;           ///< least squares
  double standard_error_mm = 0.0;                      ///< 1 σ of a coordinate of the middle
  double width_error_mm = 0.0, length_error_mm = 0.0;  ///< 1 σ, from the fit
  int points = 0;                    ///< of the wall, or the faces, that were fitted
  int rims = 0;                      ///< 0: by its wall; 1, 2: by so many rims
  std::vector<std::string> reasons;  ///< what is out, or why it is undecided or was not measured
  Outcome outcome = Outcome::Undecided;
  std::optional<double> conformity;  ///< probability (JCGM 106) of position, width and length to
                                     ///< lie within their limits, the least likely of the three
};

struct Coverage {
  double seen_fraction = 0.0;
  double seen_area_mm2 = 0.0;
  double design_area_mm2 = 0.0;
};

/// Expanded uncertainty of one reading and where it came from.
struct UncertaintyBudget {
  double expanded_mm = 0.0;  ///< U, k = 2
  bool from_plan = false;
  double noise_mm = 0.0;      ///< 1 σ of single readings on smooth patches, from the scan
  double alignment_mm = 0.0;  ///< 1 σ, from the alignment
  double coating_mm = 0.0;    ///< 1 σ, of the spray's thickness
};

/// Over the points that were Measured.
struct DeviationSummary {
  std::size_t count = 0;
  double mean_mm = 0, stddev_mm = 0, rms_mm = 0;
  double min_mm = 0, max_mm = 0, p05_mm = 0, median_mm = 0, p95_mm = 0;
};

/// What was concluded with the part in one of several poses that fit as well.
struct PoseOutcome {
  std::string words;  ///< the motion to it from the best pose; empty for that pose itself
  Outcome outcome = Outcome::Undecided;
  std::string reason;  ///< the first of its reasons; empty for a pass
};

struct Verdict {
  Outcome outcome = Outcome::Undecided;
  std::vector<std::string> reasons;  ///< one sentence each, worst first; never empty unless pass
  std::vector<std::string> actions;  ///< what to do about it, most useful first
  std::vector<Region> regions;       ///< by id
  std::vector<HoleResult> holes;     ///< in the plan's order
  Coverage coverage;
  UncertaintyBudget uncertainty;
  DeviationSummary summary;
  std::vector<BoltUp> bolt_ups;           ///< one a group of two bolted holes or more
  std::vector<Flaw> flaws;                ///< what went wrong with the part, by what it explains
  std::vector<DistanceResult> distances;  ///< in the plan's order
  std::vector<OtherHole> other_holes;     ///< by their place in the design
  std::vector<PoseOutcome> in_poses;      ///< best first; empty where the pose is sure, or in doubt
  std::vector<FormResult> forms{};        ///< in the plan's order
  std::vector<SlotResult> slots{};        ///< in the plan's order
  std::vector<SlotResult> other_slots{};  ///< those the plan does not name, by their place in the
                                          ///< design
};

}  // namespace trammel
