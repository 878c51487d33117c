#pragma once

/// The smooth face of a design that a plan means by "the face at this point".

#include <Eigen/Core>
#include <string>
#include <vector>

#include "trammel/geometry/flat_faces.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/plan.hpp"

namespace trammel {

struct SmoothFace {
  std::vector<int> triangles;                         ///< of the design, ascending
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();    ///< the point asked for, on the face
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();  ///< unit, outward: mean by area
  double area_mm2 = 0.0;
  bool flat = false;  ///< no facet leans more than 1° from the normal
};

struct FoundFace {
  SmoothFace face;     ///< holds only without a reason
  std::string reason;  ///< why there is none, "the design's surface is 12.0 mm away"; else empty
};

/// How far a point may lie from the design and still name a face of it: 1/200 of the design's
/// diagonal (a point on the true round lies off a coarse mesh of it), and no less than 0.1 mm, as
/// coordinates are written.
[[nodiscard]] double face_reach_mm(const Mesh& design);

/// Facets are first joined where they turn no more than 1° from the largest. Flat patches so made
/// join a face when they turn no more than 32° (12 facets a circle) from their neighbour; where
/// either is large enough to be a flat face of its own (geometry/flat_faces.hpp) also both must be
/// about as wide (factor 2), and where both are, turn no more than 20°: a flat face ends at the
/// rounding of its edge, the facets of a round belong together.
class SmoothFaces {
 public:
  /// @param design  must outlive this; welded, wound outward
  explicit SmoothFaces(const SurfaceIndex& design);

  /// No face for a point farther from the design than `face_reach_mm`, or on the edge between two.
  [[nodiscard]] FoundFace at(const Eigen::Vector3d& place_mm) const;

 private:
  [[nodiscard]] SmoothFace grown(int seed) const;
  [[nodiscard]] bool goes_on(int a, int b) const;
  void describe(SmoothFace& face) const;

  const SurfaceIndex& design_;
  FlatFaces patches_;
};

/// Lets each zone of a face know which places lie on its face (within a ten-thousandth of the
/// design's diagonal). One sentence for each tells which face was taken.
/// @param where  the plan's file, for messages
/// @throws Error Input for a point that names no face
[[nodiscard]] std::vector<std::string> find_zone_faces(std::vector<Zone>& zones,
                                                       const SurfaceIndex& design,
                                                       const std::string& where);

}  // namespace trammel
