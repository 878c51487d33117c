#pragma once

/// What align is told of the plan.

#include <vector>

#include "trammel/model/plan.hpp"

namespace trammel {

/// One place, in the design and in the scan.
struct ScanPair {
  Eigen::Vector3d design_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d scan_mm = Eigen::Vector3d::Zero();  ///< scan frame, mm
};

/// Whether the part is looked for place by place, as a small thing in a large scan.
enum class SmallPart {
  Never,
  WhereNeeded,  ///< where no pose explains `least_overlap` of the scan
  Only          ///< the ordinary way was gone already, and explained too little
};

struct AlignSettings {
  AlignMethod method = AlignMethod::BestFit;
  double least_overlap = 0.3;  ///< a pose that explains less of the scan is not held for right
  SmallPart small_part = SmallPart::WhereNeeded;

  std::vector<Zone> on;   ///< best-fit: fit to what lies in one of these only; empty: everywhere
  std::vector<Zone> off;  ///< best-fit: leave out what lies in one of these

  std::vector<ScanPair> pairs;  ///< pairs: three or more, not in one line
  bool refine = true;           ///< pairs: fit to the surface from there

  std::vector<DatumFeature> datums;  ///< datums: taken in this order
  DatumFit datum_fit = DatumFit::Outer;
  double least_seen = 0.6;  ///< datums: share of a face that must be seen
  double coating_mm = 0.0;  ///< datums: matting spray on the scan, taken off
};

}  // namespace trammel
