#include "trammel/read/read_plan.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "plan_table.hpp"
#include "read_align.hpp"
#include "read_distances.hpp"
#include "read_forms.hpp"
#include "read_holes.hpp"
#include "read_mates.hpp"
#include "read_slots.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/read/tolerance_tables.hpp"

namespace trammel {
namespace {

using read::kNotNegative;
using read::kPositive;
using read::NumberRange;
using read::PlanTable;

constexpr NumberRange kShare{0.0, 1.0, true};

class PlanReader {
 public:
  PlanReader(const toml::table& root, const std::filesystem::path& file)
      : name_(file.filename().u8string()),
        root_(root, name_, "",
              {"title",    "checked_by", "design",   "units",       "scan",
               "align",    "band",       "zone",     "hole",        "pin",
               "slot",     "pair",       "datum",    "distance",    "mate",
               "coverage", "region",     "flatness", "parallelism", "perpendicularity",
               "angle",    "thickness"}) {
    plan_.file = file;
  }

  Plan read() {
    read_head();
    read_scan();
    read_band();
    read_zones();
    read::read_align(root_, name_, plan_);
    read::read_holes(root_, name_, plan_);
    read::read_slots(root_, name_, plan_);
    read::read_distances(root_, name_, plan_);
    read::read_mates(root_, name_, plan_);
    read::read_forms(root_, name_, plan_);
    read_coverage();
    read_region();
    return std::move(plan_);
  }

 private:
  [[nodiscard]] PlanTable sub(const toml::table& table, const std::string& path,
                              const std::vector<std::string>& known) const {
    return {table, name_, path, known};
  }

  void read_head() {
    plan_.title = root_.text("title").value_or("");
    plan_.checked_by = root_.text("checked_by").value_or("");
    root_.need("design", "the mesh to check against");
    const std::string design = *root_.text("design");
    if (design.empty()) root_.fail(root_.at("design"), "expected a file for 'design', found ''");
    plan_.design = std::filesystem::u8path(design);
    plan_.design_path = plan_.file.parent_path() / plan_.design;
    plan_.design_units = root_.unit("units", {"mm", "cm", "m", "in"}, Unit::Mm);
  }

  void read_scan() {
    const toml::table* found = root_.table("scan");
    if (found == nullptr) return;
    const PlanTable scan = sub(*found, "scan", {"units", "uncertainty", "coating", "scanner"});
    plan_.scanner = scan.text("scanner").value_or("");
    plan_.scan_units = scan.unit("units", {"auto", "mm", "cm", "m", "in"}, Unit::Auto);
    plan_.uncertainty_mm = scan.number("uncertainty", kNotNegative);
    plan_.coating_mm = scan.number("coating", kNotNegative).value_or(plan_.coating_mm);
  }

  /// The band of a table; what it does not give is the plan's own.
  Band band_of(const PlanTable& table) const {
    if (table.has("profile")) return band_of_profile(table);
    if (table.has("uz")) {
      table.fail(table.at("uz"), "expected 'profile' beside 'uz', found none",
                 "It says how far out the middle of a zone of that width lies");
    }
    Band band = plan_.band;
    band.over_mm = table.number("over", kNotNegative).value_or(band.over_mm);
    band.under_mm = table.number("under", kNotNegative).value_or(band.under_mm);
    if (band.over_mm + band.under_mm <= 0.0) {
      table.fail(table.at("over"), "expected a band with 'over' or 'under' above 0, found both 0",
                 "No part can be proven to have no deviation at all");
    }
    return band;
  }

  /// Profile of a surface (ISO 1101): a zone of width t lies half to either side of the design, or,
  /// unequal, about a surface that lies by `uz` out of the material: from uz − t/2 to uz + t/2.
  static Band band_of_profile(const PlanTable& table) {
    for (const char* key : {"over", "under"}) {
      if (!table.has(key)) continue;
      table.fail(table.at(key),
                 "expected 'profile' or 'over' and 'under', found '" + std::string(key) +
                     "' beside 'profile'",
                 "A profile of 1.0 is an over and an under of 0.5");
    }
    const double half_mm = 0.5 * *table.number("profile", kPositive);
    const double out_mm =
        table.number("uz", NumberRange{-read::kLargestNumber, read::kLargestNumber}).value_or(0.0);
    if (std::abs(out_mm) > half_mm) {
      table.fail(table.at("uz"),
                 "expected 'uz' of no more than half of 'profile', found " + shortest(out_mm),
                 "The zone must hold the design's own surface");
    }
    return {half_mm + out_mm, half_mm - out_mm};
  }

  void read_band() {
    const toml::table* found = root_.table("band");
    if (found != nullptr)
      plan_.band = band_of(sub(*found, "band", {"over", "under", "profile", "uz"}));
  }

  void read_zones() {
    int number = 0;
    for (const toml::table* found : root_.tables("zone")) {
      const PlanTable zone =
          sub(*found, "zone " + std::to_string(++number),
              {"name", "box", "sphere", "cylinder", "face", "over", "under", "profile", "uz"});
      zone.need("name", "what the sheet calls it");
      plan_.zones.push_back({*zone.text("name"), shape_of(zone, *found, number), band_of(zone)});
    }
  }

  static decltype(Zone::shape) shape_of(const PlanTable& zone, const toml::table& found,
                                        int number) {
    std::string given;
    for (const char* shape : {"box", "sphere", "cylinder", "face"})
      if (zone.has(shape)) given += (given.empty() ? "'" : " and '") + std::string(shape) + "'";
    if (given.empty() || given.find("and") != given.npos) {
      zone.fail(found,
                "expected 'box', 'sphere', 'cylinder' or 'face' for zone " +
                    std::to_string(number) + ", found " + (given.empty() ? "none" : given),
                "Give one shape a zone");
    }
    if (zone.has("box")) return box_of(zone);
    if (zone.has("sphere")) return sphere_of(zone);
    if (zone.has("cylinder")) return cylinder_of(zone);
    return FaceShape{vector_of(*zone.numbers("face", 3))};
  }

  static Eigen::Vector3d vector_of(const std::vector<double>& values) {
    return {values[0], values[1], values[2]};
  }

  static BoxShape box_of(const PlanTable& zone) {
    const toml::array& corners = *zone.pair("box");
    const BoxShape box{vector_of(zone.finite_numbers(corners[0], "box", 3)),
                       vector_of(zone.finite_numbers(corners[1], "box", 3))};
    if ((box.low_mm.array() >= box.high_mm.array()).any()) {
      zone.fail(corners,
                "expected a lower and then an upper corner for 'box', found a box of no "
                "size");
    }
    return box;
  }

  static SphereShape sphere_of(const PlanTable& zone) {
    const toml::array& parts = *zone.pair("sphere");
    const SphereShape sphere{vector_of(zone.finite_numbers(parts[0], "sphere", 3)),
                             zone.finite_number(parts[1], "sphere")};
    if (sphere.radius_mm <= 0.0) {
      zone.fail(parts[1], "expected a radius above 0 for 'sphere', found none");
    }
    return sphere;
  }

  static CylinderShape cylinder_of(const PlanTable& zone) {
    const toml::array* parts = zone.at("cylinder").as_array();
    if (parts == nullptr || parts->size() != 3) {
      zone.fail(zone.at("cylinder"), "expected [[x, y, z], [x, y, z], radius] for 'cylinder'",
                "The two places are the ends of its axis");
    }
    const CylinderShape cylinder{vector_of(zone.finite_numbers((*parts)[0], "cylinder", 3)),
                                 vector_of(zone.finite_numbers((*parts)[1], "cylinder", 3)),
                                 zone.finite_number((*parts)[2], "cylinder")};
    if (cylinder.radius_mm <= 0.0) {
      zone.fail((*parts)[2], "expected a radius above 0 for 'cylinder', found none");
    }
    if (cylinder.from_mm == cylinder.to_mm) {
      zone.fail((*parts)[1], "expected two ends of the axis for 'cylinder', found one place twice");
    }
    return cylinder;
  }

  void read_coverage() {
    const toml::table* found = root_.table("coverage");
    if (found == nullptr) return;
    const PlanTable coverage = sub(*found, "coverage", {"least"});
    plan_.least_coverage = coverage.number("least", kShare).value_or(plan_.least_coverage);
  }

  void read_region() {
    const toml::table* found = root_.table("region");
    if (found == nullptr) return;
    const PlanTable region = sub(*found, "region", {"least_area"});
    plan_.least_area_mm2 = region.number("least_area", kNotNegative).value_or(plan_.least_area_mm2);
  }

  std::string name_;
  PlanTable root_;
  Plan plan_;
};

}  // namespace

namespace {

/// The library walks tables within tables by recursion: a key of a hundred thousand parts would
/// end the stack, and the program without a word.
constexpr int kMostKeyParts = 100;
/// A hundred thousand bytes are a plan of a thousand holes. Its tree takes some 100 times as much.
constexpr std::size_t kMostBytes = 1'000'000;

/// @throws Error Input for what is no plan that a person would write
void check_size_and_depth(std::string_view text, const std::string& name) {
  if (text.size() > kMostBytes) {
    throw Error(ErrorKind::Input, name,
                "expected a plan of at most " + std::to_string(kMostBytes) + " bytes, found " +
                    std::to_string(text.size()),
                "Give the plan first, and the scan after --scan");
  }
  int line = 1, dots = 0;
  for (const char c : text) {
    line += c == '\n' ? 1 : 0;
    if (c == '.') ++dots;
    if (std::string_view("\n=,[]{}").find(c) != std::string_view::npos) dots = 0;
    if (dots < kMostKeyParts) continue;
    throw Error(ErrorKind::Input, name + ":" + std::to_string(line),
                "expected a key of a few parts, found more than " + std::to_string(kMostKeyParts),
                "Mend this line; the plan's keys are listed in the README");
  }
}

}  // namespace

Plan parse_plan(std::string_view text, const std::filesystem::path& file) {
  check_size_and_depth(text, file.filename().u8string());
  try {
    Plan plan = PlanReader(toml::parse(text), file).read();
    plan.sha256 = sha256_hex(text);
    return plan;
  } catch (const toml::parse_error& error) {
    throw Error(ErrorKind::Input, read::place_words(file.filename().u8string(), error.source()),
                "expected a plan in TOML, found a fault: " + std::string(error.description()),
                "Mend this line; the plan's keys are listed in the README");
  }
}

Plan read_plan(const std::filesystem::path& path) {
  const FileBytes bytes(path);
  Plan plan = parse_plan(bytes.view(), path);
  bytes.check_unchanged();
  return plan;
}

Plan plan_for_design(const std::filesystem::path& design) {
  Plan plan;
  plan.design = design;
  plan.design_path = design;
  return plan;
}

}  // namespace trammel
