#include "trammel/geometry/measure_mate.hpp"
#include "trammel/inspect.hpp"
#include "trammel/read/choose_units.hpp"
#include "trammel/read/read_files.hpp"
#include "trammel/tidy/tidy.hpp"

namespace trammel {

std::vector<Mate> measure_mates(const Plan& plan, const Narrator& narrate) {
  std::vector<Mate> mates;
  for (const MateCheck& check : plan.mates) {
    if (narrate) narrate("reading " + check.scan_path.filename().string());
    RawScan source = read_scan(check.scan_path);
    const UnitChoice unit{mm_per_unit(check.units), unit_name(check.units), "given", true};
    std::vector<Eigen::Vector3d> places;
    std::vector<double> bolts;
    for (const Eigen::Vector3d& at : check.at)
      places.push_back(unit.mm_per_unit * at);
    for (const HoleCheck* hole : bolted_holes(plan, check.group))
      bolts.push_back(*hole->bolt_mm);
    const Tidied tidied = tidy(in_mm(std::move(source.scan), unit));
    // One scanner for both, unless the plan says otherwise.
    const auto uncertainty_mm = check.uncertainty_mm ? check.uncertainty_mm : plan.uncertainty_mm;
    Mate mate = measure_mate(tidied.scan, places, bolts, uncertainty_mm);
    mate.group = check.group;
    mate.file = source.file;
    mate.sha256 = source.sha256;
    mate.unit = unit.unit;
    mates.push_back(std::move(mate));
  }
  return mates;
}

}  // namespace trammel
