#pragma once

/// Everything one check knows. Reports read this and nothing else, so they cannot disagree.

#include <string>
#include <vector>

#include "trammel/base/run_info.hpp"
#include "trammel/model/alignment.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/mate.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/model/mesh_health.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/scan.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// The design as read: mended, in mm.
struct Design {
  Mesh mesh;
  MeshHealth health;
  std::string file;                 ///< file name without folder
  std::string sha256;               ///< of the file's bytes
  Eigen::Index triangles_read = 0;  ///< after repairs, before flat faces were drawn anew
};

/// The scan as read: in the file's own units and frame, nothing taken away.
struct RawScan {
  Scan scan;  ///< `points_mm` hold file units until a unit is chosen
  std::string file;
  std::string sha256;
  std::vector<std::string>
      notes;  ///< what reading had to say ("12 faces of four corners were split")
};

struct Inspection {
  RunInfo run;
  Plan plan;
  Design design;
  RawScan source;  ///< the scan's file facts; its points are moved on into `scan`
  Scan scan;       ///< tidied, mm, scan frame
  UnitChoice units;
  TidyCounts tidy;
  Alignment alignment;
  Deviations deviations;  ///< one a point of `scan`
  Proof proof;
  SurfaceMap surface;
  Verdict verdict;
  std::vector<Mate> mates;         ///< in the plan's order
  std::vector<std::string> notes;  ///< what a careful reader should know, one sentence each
};

}  // namespace trammel
