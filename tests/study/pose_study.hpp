#pragma once

/// One seeded pose of one part under one condition: scanned, placed as a check does, and judged
/// against the truth.
///
/// *Right* is held for right (found, converged, one pose, nothing free, no doubt) and within 0.25
/// mm at every corner of the part; *unsure* says itself that it may not be trusted; *wrong* is held
/// for right and is not, or was read in a wrong unit. Wrong must stay 0.

#include <string>
#include <vector>

#include "study/study_parts.hpp"
#include "trammel/geometry/sample_surface.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/inspect.hpp"
#include "trammel/model/surface_rays.hpp"

namespace trammel::test {

enum class Condition {
  AllRound,
  OneSide,     ///< one view that shows 25 to 40 % of the surface
  AnyOneView,  ///< whatever it shows: a single flat face, perhaps
  Noise,
  Strays,
  BenchAndClamp,
  BentThird,
  MissingThird,
  NoNormals,
  FusedMesh,
  OtherUnits,
  Pairs,
};
[[nodiscard]] std::vector<Condition> all_conditions();
[[nodiscard]] std::string condition_name(Condition condition);

/// A part with what its conditions need, made once.
struct PreparedPart {
  explicit PreparedPart(StudyPart made_from);
  StudyPart part;
  SurfaceIndex design;
  Mesh bent;
  Box box;
  SurfaceSamples samples;  ///< spread evenly, to tell what a view shows
  SurfaceRays rays;
};

enum class Truth { Right, Unsure, Wrong };

struct PoseResult {
  Truth truth = Truth::Unsure;
  bool near = false;          ///< within 0.25 mm, whether or not it was held for right
  bool listed = false;        ///< the true pose is among those that it lists
  double error_mm = 0.0;      ///< at the worst corner
  double predicted_mm = 0.0;  ///< its own standard error there, 1 σ
  double chi_square = 0.0;    ///< of the error in its own covariance, 6 degrees of freedom
  double seconds = 0.0;       ///< of placing, all units tried
  std::string doubt;          ///< the first one
};

/// Share of the surface that one view shows, no more obliquely than a scanner sees.
/// @param towards  unit, from the part to the scanner
[[nodiscard]] double seen_share(const PreparedPart& part, const Eigen::Vector3d& towards);

/// The same pose for the same part, condition and number, whatever else is run.
[[nodiscard]] PoseResult try_pose(const PreparedPart& part, Condition condition, int number);

/// What a number of poses came to.
struct PoseTally {
  int right = 0, unsure = 0, near_but_unsure = 0, listed = 0, wrong = 0;
  std::vector<double> errors_mm, shares, chi_squares, seconds;  ///< of held poses but `seconds`
  void add(const PoseResult& result);
};

}  // namespace trammel::test
