#pragma once

/// What was measured of the thing that the part is bolted to: where its holes and studs are.

#include <Eigen/Core>
#include <string>
#include <vector>

namespace trammel {

/// A round hole or stud of a scan without a design. The scan's own frame, mm.
struct MateHole {
  std::string reason;  ///< why it was not measured, one clause; empty when it was
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();  ///< the place asked for

  // The rest holds only when measured.
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< where its axis meets the face around
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();  ///< unit, to the side of the face that was seen
  Eigen::Vector3d face_normal = Eigen::Vector3d::UnitZ();  ///< unit, to the same side
  double diameter_mm = 0.0;
  double center_error_mm = 0.0;  ///< 1 σ of a coordinate of the centre
  double noise_mm = 0.0;         ///< 1 σ of single readings about the face
  bool is_stud = false;          ///< a wall stands on the face, and goes into none
  bool by_wall = false;          ///< by its wall; else by where the face around it ends
  int points = 0;                ///< that hold the fit
  [[nodiscard]] bool is_measured() const { return reason.empty(); }
};

struct Mate {
  std::string group{};  ///< of the part's holes that its bolts go through; empty: those without one
  std::string file, sha256;
  std::string unit;             ///< "mm", "cm", "m" or "in"
  bool faces_out = false;       ///< the file's normals tell which side of its faces was scanned
  double uncertainty_mm = 0.0;  ///< U (k = 2) of one reading
  std::vector<MateHole> holes;  ///< in the order of the group's holes in the plan
};

}  // namespace trammel
