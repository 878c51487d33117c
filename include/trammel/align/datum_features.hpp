#pragma once

/// What a datum of the plan means in the design, and where the scan has it.

#include <Eigen/Core>
#include <optional>
#include <string>
#include <variant>

#include "trammel/align/scan_sample.hpp"
#include "trammel/geometry/find_hole.hpp"
#include "trammel/geometry/flat_faces.hpp"
#include "trammel/geometry/sample_surface.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel {

/// A flat face with the places of the design's surface that lie on it.
struct DatumFace {
  FlatFace face;
  int index = -1;           ///< among the design's flat faces
  Eigen::Matrix3Xd places;  ///< 3 × #S spread evenly over the face, to tell how much of it was seen
};

struct FoundDatum {
  std::variant<std::monostate, DatumFace, DesignHole> feature;
  std::string reason;  ///< why there is none; empty otherwise
};

/// The flat face that holds the point, or else the round hole near it: a point in the middle of a
/// hole lies on no face.
[[nodiscard]] FoundDatum find_datum(const SurfaceIndex& design, const FlatFaces& flat,
                                    const Eigen::Vector3d& at_mm, const Rng& rng);

/// The scan in the design's frame at some pose.
struct PlacedScan {
  Eigen::Matrix3Xd points_mm;  ///< 3 × #P
  Eigen::Matrix3Xd normals;    ///< 3 × #P unit, out of the material
  Eigen::Matrix3Xd foot_mm;    ///< 3 × #P on the design
  Eigen::VectorXi face;        ///< #P flat face that the foot lies on, −1 for none
};

/// Normals without a sign take that of the design where they lie.
/// @param reach_mm  points farther from the design are on no face
[[nodiscard]] PlacedScan place_scan(const ScanSample& scan, const SurfaceIndex& design,
                                    const FlatFaces& flat, const Eigen::Isometry3d& T_design_scan,
                                    double reach_mm);

/// A face as scanned, noise averaged out: up to 64 patches in a grid along its sides, each with the
/// median of its points' heights over the design's face, so that single readings push nothing.
struct FacePatches {
  Eigen::Matrix3Xd at_mm;     ///< 3 × #K, mean foot of the patch's points
  Eigen::VectorXd height_mm;  ///< #K, + outside the material, spray taken off
  Eigen::VectorXd error_mm;   ///< #K, 1 σ of that median: 1.253 σ/√n
  double seen = 0.0;          ///< share of the face that lies in patches of 8 points or more
};

[[nodiscard]] FacePatches face_patches(const PlacedScan& scan, const DatumFace& face,
                                       double coating_mm);

}  // namespace trammel
