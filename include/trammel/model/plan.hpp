#pragma once

/// The inspection plan: mirrors the TOML file one to one, with its defaults.

#include <Eigen/Core>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "trammel/model/general_tolerance.hpp"
#include "trammel/model/round_kind.hpp"

namespace trammel {

enum class Unit { Auto, Mm, Cm, M, Inch };
enum class AlignMethod { BestFit, Datums, Pairs, AsScanned };
/// How a flat datum face is taken: the plane that touches the material from outside, or the mean.
enum class DatumFit { Outer, LeastSquares };

/// mm per unit; Auto counts as mm.
[[nodiscard]] double mm_per_unit(Unit unit);
/// "mm", "cm", "m", "in" or "auto".
[[nodiscard]] std::string unit_name(Unit unit);
/// "best-fit", "datums", "pairs" or "as-scanned", as the plan spells it.
[[nodiscard]] std::string method_name(AlignMethod method);
/// Whether a plan of this method says itself where, and how far turned, the part lies.
[[nodiscard]] bool is_place_given(AlignMethod method);
/// "outer" or "least-squares".
[[nodiscard]] std::string datum_fit_name(DatumFit fit);

/// The deviation allowed; both sides as positive mm.
struct Band {
  double over_mm = 0.5;   ///< proud side
  double under_mm = 0.5;  ///< shy side
};

struct BoxShape {
  Eigen::Vector3d low_mm, high_mm;
};
struct SphereShape {
  Eigen::Vector3d center_mm;
  double radius_mm;
};
/// Round, with flat ends across its axis.
struct CylinderShape {
  Eigen::Vector3d from_mm, to_mm;  ///< the two ends of the axis
  double radius_mm;
};
/// The smooth face of the design at a point.
struct FaceShape {
  Eigen::Vector3d at_mm;
  /// Whether a place lies on the face. Only the design can tell: empty, which holds nothing, until
  /// geometry/smooth_face.hpp has looked.
  std::function<bool(const Eigen::Vector3d&)> holds{};
};

/// A band of its own inside a shape, in design coordinates. The last zone that holds a point wins.
struct Zone {
  std::string name;
  std::variant<BoxShape, SphereShape, CylinderShape, FaceShape> shape;
  Band band;
  [[nodiscard]] bool holds(const Eigen::Vector3d& p_design) const;
};

struct Limits {
  double low_mm, high_mm;
};

/// A round hole, or a pin: for a pin neither bolt nor group nor clearance is given.
struct HoleCheck {
  std::string name;
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();  ///< near this point of the design
  std::optional<double> position_mm;                ///< diameter of the position zone (ISO 1101)
  std::optional<Limits> diameter_mm;                ///< limits of size
  std::optional<double> bolt_mm;                    ///< what has to go through
  std::string group{};                              ///< bolted holes of one name go up together
  std::optional<double> clearance_mm{};  ///< fine hole for that bolt (ISO 273), where it has one
  RoundKind kind = RoundKind::Hole;
};

struct SlotCheck {
  std::string name;
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();  ///< near this point of the design
  std::optional<double> position_mm{};  ///< diameter of the zone that its middle line's points must
                                        ///< lie in (judge/judge_slot.hpp)
  std::optional<Limits> width_mm{};     ///< limits of size
  std::optional<Limits> length_mm{};    ///< limits of the overall length
};

/// What a distance is taken from or to: a hole of the plan by its name, or the flat face of the
/// design at a point.
using DistanceEnd = std::variant<std::string, Eigen::Vector3d>;

struct DistanceCheck {
  std::string name;
  DistanceEnd from, to;
  std::optional<double> nominal_mm{};              ///< of the drawing; the design's own when absent
  std::variant<Band, GeneralTolerance> allowed{};  ///< too long by `over`, too short by `under`
};

/// A scan of what the part is bolted to: the bolts of a group stand where it has them.
struct MateCheck {
  std::filesystem::path scan;                         ///< as written in the plan
  std::filesystem::path scan_path;                    ///< resolved against the plan's folder
  Unit units = Unit::Mm;                              ///< of that scan, and of `at`
  std::string group{};                                ///< of the holes, as they name it
  Eigen::Vector3d face_mm = Eigen::Vector3d::Zero();  ///< on the design's face that lies on it
  std::vector<Eigen::Vector3d> at{};  ///< near each hole or stud, in that scan's own frame and unit
                                      ///< as saved, in the order of the group's holes in the plan
  std::optional<double> uncertainty_mm{};  ///< U of one of its readings, k = 2
};

/// What is asked of a flat face by itself (flatness), of it and another (ISO 1101), or of the wall
/// behind it (thickness).
enum class FormKind { Flatness, Parallelism, Perpendicularity, Angle, Thickness };
/// "flatness", "parallelism", "perpendicularity", "angle" or "thickness", as the plan spells it.
[[nodiscard]] std::string form_name(FormKind kind);

/// The deviation of an angle allowed, both sides as positive radians.
struct AngleBand {
  double over_rad = 0.0, under_rad = 0.0;
};

struct FormCheck {
  FormKind kind = FormKind::Flatness;
  std::string name;
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();  ///< on a flat face of the design
  /// On the datum face (parallelism, perpendicularity), or on the other face of an angle; the
  /// others have none.
  std::optional<Eigen::Vector3d> other_mm{};
  std::optional<double> nominal{};  ///< of the drawing, an angle's in radians, a thickness's in mm;
                                    ///< the design's own when absent
  /// Width of the zone in mm (flatness, parallelism, perpendicularity), what an angle or a
  /// thickness may be off, or a class.
  std::variant<double, AngleBand, Band, GeneralTolerance> allowed{};
};

/// One place, in the design and in the scan.
struct PointPair {
  Eigen::Vector3d design_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d scan = Eigen::Vector3d::Zero();  ///< scan frame, in the scan's own unit as saved
};

/// A face or hole of the design that the part is held by.
struct DatumFeature {
  std::string label;                                ///< "A", "B", "C": taken in this order
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();  ///< on the flat face, or near the round hole
};

struct Plan {
  std::string title;
  std::string checked_by;             ///< who checks, as the sheet shall name them
  std::string scanner;                ///< what it was scanned with
  std::filesystem::path design;       ///< as written in the plan
  std::filesystem::path design_path;  ///< resolved against the plan's folder
  std::filesystem::path file;         ///< the plan itself; empty when made from options
  std::string sha256;                 ///< of its text; empty as above
  Unit design_units = Unit::Mm;

  Unit scan_units = Unit::Auto;
  std::optional<double> uncertainty_mm;  ///< U, k = 2; estimated from the scan when absent
  double coating_mm = 0.0;               ///< matting spray, taken off along the normal

  AlignMethod method = AlignMethod::BestFit;
  std::vector<PointPair> pairs;        ///< for Pairs: three or more, not in one line
  bool refine = true;                  ///< for Pairs: fit to the surface from there
  std::vector<DatumFeature> datums{};  ///< for Datums: A, B and C
  DatumFit datum_fit = DatumFit::Outer;
  std::vector<std::string> fit_on,
      fit_off;  ///< for BestFit: names of zones to fit to, to leave out
  Band band;
  std::vector<Zone> zones;
  std::vector<HoleCheck> holes;  ///< then the pins; no two of one name
  double least_coverage = 0.6;   ///< share of the design's area that must be seen
  double least_area_mm2 = 4.0;   ///< a smaller patch is listed, not judged
  std::vector<DistanceCheck> distances;
  std::vector<MateCheck> mates{};  ///< one a group at most
  std::vector<FormCheck> forms{};  ///< in the order of the kinds
  std::vector<SlotCheck> slots{};
};

/// The check of the hole of that name; null when the plan has none.
[[nodiscard]] const HoleCheck* check_of(const Plan& plan, const std::string& hole_name);
/// The check of the slot of that name; null when the plan has none.
[[nodiscard]] const SlotCheck* slot_check_of(const Plan& plan, const std::string& slot_name);

/// The holes of a group that a bolt goes through, in the plan's order: the order of its mate's
/// places.
[[nodiscard]] std::vector<const HoleCheck*> bolted_holes(const Plan& plan,
                                                         const std::string& group);
/// The mate of a group; null when it has none.
[[nodiscard]] const MateCheck* mate_of(const Plan& plan, const std::string& group);

/// The band at a point of the design: its zone's, or the plan's. Also gives the zone's name.
struct BandAt {
  Band band;
  const Zone* zone;  ///< null outside every zone
};
[[nodiscard]] BandAt band_at(const Plan& plan, const Eigen::Vector3d& p_design);

}  // namespace trammel
