#include "study/planted_flaws.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel::test {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;
using Displace = std::function<Vector3d(const Vector3d&)>;

constexpr double kEdge_mm = 4.0, kFineEdge_mm = 1.2;

std::vector<Family> families_for(PlantedKind kind) {
  switch (kind) {
    case PlantedKind::Twist: return {Family::Plate, Family::Bracket, Family::Channel};
    case PlantedKind::Lean: return {Family::Bracket, Family::Channel};
    case PlantedKind::Corner: return {Family::Plate, Family::Bracket, Family::Channel};
    case PlantedKind::MissingFoot: return {Family::Housing};
    default: return all_families();
  }
}

/// 0 at the bend, 1 at the free end of a hinged panel; elsewhere the share along v.
double rise(const Panel& panel, double b) {
  const double foot = panel.hinged ? panel.thickness_mm : 0.0;
  return std::clamp((b - foot) / (panel.along_v_mm - foot), 0.0, 1.0);
}

/// In the panel's slab beyond its bend.
bool on_panel(const Panel& panel, const Vector3d& abc) {
  const double c = abc.z();
  return c > -1e-6 && c < panel.thickness_mm + 1e-6 && abc.y() > -1e-6 &&
         abc.y() < panel.along_v_mm + 1e-6;
}

/// Vertices of a panel moved along its normal by f(a, b); of a panel that is the whole part or its
/// middle, all vertices.
Displace along_normal(const Panel& panel, bool whole, std::function<double(const Vector3d&)> f) {
  return [panel, whole, f = std::move(f)](const Vector3d& p) -> Vector3d {
    const Vector3d abc = panel.in_panel(p);
    if (!whole && !on_panel(panel, abc)) return Vector3d::Zero();
    return f(abc) * panel.normal;
  };
}

double bump(double distance, double radius) {
  return distance < radius ? 0.5 + 0.5 * std::cos(kPi * distance / radius) : 0.0;
}

class Planter {
 public:
  Planter(PlantedKind kind, int number)
      : rng_(Rng(static_cast<std::uint64_t>(number)).stream("planted " + planted_name(kind))) {
    part_.kind = kind;
    const std::vector<Family> families = families_for(kind);
    part_.recipe = random_recipe(families[rng_.index(families.size())], rng_.stream("recipe"));
    panels_ = panels_of(part_.recipe);
    const double band = rng_.uniform(0.25, 0.6);
    part_.plan.band = {band, band};
    size_ = band * std::exp(rng_.uniform(std::log(0.3), std::log(3.0)));
    sign_ = rng_.uniform() < 0.5 ? -1.0 : 1.0;
  }

  PlantedPart make() {
    part_.design = built(part_.recipe);
    Recipe made = part_.recipe;
    Displace displace = [](const Vector3d&) -> Vector3d { return Vector3d::Zero(); };
    double edge_mm = kEdge_mm;
    switch (part_.kind) {
      case PlantedKind::Shrink:
      case PlantedKind::ShrinkAlong: displace = shrink(); break;
      case PlantedKind::Bow: displace = bow(); break;
      case PlantedKind::Twist: displace = twist(); break;
      case PlantedKind::Lean: displace = lean(); break;
      case PlantedKind::Offset: displace = offset(); break;
      case PlantedKind::Dent:
      case PlantedKind::Blob:
        displace = local();
        edge_mm = kFineEdge_mm;
        break;
      case PlantedKind::Corner: displace = corner(); break;
      case PlantedKind::MissingHole:
      case PlantedKind::HoleSize:
      case PlantedKind::HoleOff: change_hole(made); break;
      case PlantedKind::ExtraHole: add_hole(made); break;
      case PlantedKind::MissingFoot: drop_foot(made); break;
      case PlantedKind::None: break;
    }
    const Mesh fine = refined(part_.design, edge_mm);
    const Mesh moved = displaced(fine, displace);
    part_.surface = true_surface(part_.recipe, fine, moved);
    const bool rebuilt = part_.hole >= 0 || part_.of_kind;
    part_.real = rebuilt ? built(made) : moved;
    const bool hole_made = part_.hole >= 0 && part_.kind != PlantedKind::MissingHole;
    if (hole_made) {
      replace_hole(part_.surface, part_.recipe, static_cast<std::size_t>(part_.hole),
                   part_.made_hole);
    }
    part_.size_mm = sign_ * size_;
    part_.words = family_name(part_.recipe.family) + ", " + planted_name(part_.kind) + what_ +
                  ", t " + fixed(part_.recipe.thickness_mm, 1) + ", size " +
                  fixed(part_.size_mm, 2) + " at band " + fixed(part_.plan.band.over_mm, 2);
    return std::move(part_);
  }

 private:
  [[nodiscard]] bool is(Family family) const { return part_.recipe.family == family; }

  /// One of the panels for which `fits`; the first when none does.
  std::size_t panel_where(const std::function<bool(const Panel&)>& fits) {
    std::vector<std::size_t> possible;
    for (std::size_t i = 0; i < panels_.size(); ++i)
      if (fits(panels_[i])) possible.push_back(i);
    const std::size_t chosen = possible.empty() ? 0 : possible[rng_.index(possible.size())];
    what_ += " of panel " + std::to_string(chosen);
    return chosen;
  }

  Displace shrink() {
    const Box box = bounding_box(part_.design.vertices_mm);
    const Vector3d size = box.size_mm(), middle = box.center_mm();
    Vector3d share = Vector3d::Constant(sign_ * 2.0 * size_ / size.maxCoeff());
    if (part_.kind == PlantedKind::ShrinkAlong) {
      do {
        part_.axis = static_cast<int>(rng_.index(3));
      } while (size[part_.axis] < 20.0);
      what_ = std::string(1, static_cast<char>('X' + part_.axis));
      share = sign_ * 2.0 * size_ / size[part_.axis] * Vector3d::Unit(part_.axis);
    }
    return
        [share, middle](const Vector3d& p) -> Vector3d { return share.cwiseProduct(p - middle); };
  }

  /// Panels bow between their ends; those held along one side bow more the farther from it.
  Displace bow() {
    const std::size_t chosen = panel_where([](const Panel&) { return true; });
    const Panel panel = panels_[chosen];
    const bool whole = chosen == 0 && !panel.hinged;
    const bool across = (whole && !is(Family::Channel) && rng_.uniform() < 0.5) ||
                        (panel.hinged && rng_.uniform() < 0.5);
    const bool held = panel.hinged || (is(Family::Housing) && chosen > 0);
    const double height = sign_ * size_;
    what_ += across ? " along v" : " along u";
    return along_normal(panel, whole, [=](const Vector3d& abc) {
      const double s = std::clamp(abc.x() / panel.along_u_mm, 0.0, 1.0), up = rise(panel, abc.y());
      if (across) return height * 4.0 * up * (1.0 - up);
      return height * 4.0 * s * (1.0 - s) * (held ? up : 1.0);
    });
  }

  Displace twist() {
    const std::size_t chosen =
        panel_where([&](const Panel& panel) { return panel.hinged || is(Family::Plate); });
    const Panel panel = panels_[chosen];
    const double height = sign_ * size_;
    return along_normal(panel, is(Family::Plate), [=](const Vector3d& abc) {
      const double s = 2.0 * abc.x() / panel.along_u_mm - 1.0, up = rise(panel, abc.y());
      return height * s * (panel.hinged ? up : 2.0 * up - 1.0);
    });
  }

  Displace lean() {
    const Panel panel = panels_[panel_where([](const Panel& one) { return one.hinged; })];
    const double height = sign_ * size_;
    return along_normal(panel, false,
                        [=](const Vector3d& abc) { return height * rise(panel, abc.y()); });
  }

  /// What the panel's inner or outer face is moved by, out of the material.
  Displace one_face(const Panel& panel, bool outer, std::function<double(const Vector3d&)> f) {
    return [panel, outer, f = std::move(f)](const Vector3d& p) -> Vector3d {
      const Vector3d abc = panel.in_panel(p);
      const double level = outer ? 0.0 : panel.thickness_mm;
      const bool inside =
          on_panel(panel, abc) && abc.x() > -1e-6 && abc.x() < panel.along_u_mm + 1e-6;
      if (!inside || std::abs(abc.z() - level) > 1e-6) return Vector3d::Zero();
      return (outer ? f(abc) : -f(abc)) * panel.normal;
    };
  }

  /// No face is taken through to the other side.
  void keep_thickness(const Panel& panel) {
    if (sign_ < 0.0) size_ = std::min(size_, 0.7 * panel.thickness_mm);
  }

  Displace offset() {
    const Panel panel = panels_[panel_where([](const Panel&) { return true; })];
    keep_thickness(panel);
    const double height = sign_ * size_;
    const bool outer = !is(Family::Housing) && rng_.uniform() < 0.5;
    what_ += outer ? ", outer face" : ", inner face";
    return one_face(panel, outer, [height](const Vector3d&) { return height; });
  }

  Displace local() {
    sign_ = part_.kind == PlantedKind::Dent ? -1.0 : 1.0;
    const bool spatter = part_.kind == PlantedKind::Blob && rng_.uniform() < 0.4;
    const double radius = spatter ? rng_.uniform(1.6, 3.0) : rng_.uniform(4.0, 8.0);
    const std::size_t chosen = panel_where([](const Panel&) { return true; });
    const Panel panel = panels_[chosen];
    keep_thickness(panel);
    bool found = false;
    Vector2d at = free_place(part_.recipe, chosen, radius, rng_, found);
    if (!found) size_ = 0.0;
    const bool outer = rng_.uniform() < 0.5;
    part_.at_mm = panel.at(at.x(), at.y()) - (outer ? 0.0 : panel.thickness_mm) * panel.normal;
    part_.radius_mm = radius;
    what_ += std::string(outer ? ", outer face" : ", inner face") + ", radius " + fixed(radius, 1);
    const double height = sign_ * size_;
    return one_face(panel, outer, [=](const Vector3d& abc) {
      return height * bump((abc.head<2>() - at).norm(), radius);
    });
  }

  /// A free corner, bent about a line across it.
  Displace corner() {
    const std::size_t chosen =
        panel_where([&](const Panel& panel) { return panel.hinged || is(Family::Plate); });
    const Panel panel = panels_[chosen];
    const double reach = rng_.uniform(0.25, 0.4) * std::min(panel.along_u_mm, panel.along_v_mm);
    const double height = sign_ * size_;
    part_.at_mm = panel.at(0.0, panel.along_v_mm);
    part_.radius_mm = reach;
    return along_normal(panel, false, [=](const Vector3d& abc) {
      const double off = (std::max(0.0, abc.x()) + (panel.along_v_mm - abc.y())) / reach;
      return height * std::pow(std::max(0.0, 1.0 - off), 1.5);
    });
  }

  void change_hole(Recipe& made) {
    part_.hole = static_cast<int>(rng_.index(made.holes.size()));
    PartHole& hole = made.holes[static_cast<std::size_t>(part_.hole)];
    const PartHole drawn = hole;
    const Panel panel = panels_[hole.panel];
    part_.at_mm = panel.at(hole.at_mm.x(), hole.at_mm.y());
    part_.radius_mm = 0.5 * hole.diameter_mm;
    if (part_.kind == PlantedKind::HoleSize) {
      if (hole.diameter_mm < 4.0 * size_) sign_ = 1.0;  // too wide, or it would all but close
      hole.diameter_mm += 2.0 * sign_ * size_;
    }
    if (part_.kind == PlantedKind::HoleOff) {
      const double turn = rng_.uniform(0.0, 2.0 * kPi);
      hole.at_mm += size_ * Vector2d(std::cos(turn), std::sin(turn));
    }
    part_.made_hole = hole;
    if (part_.kind == PlantedKind::MissingHole) {
      part_.of_kind = true;
      made.holes.erase(made.holes.begin() + part_.hole);
    }
    if (rng_.uniform() < 0.5) limit(drawn);
  }

  void limit(const PartHole& drawn) {
    HoleCheck check;
    check.name = "A";
    check.at_mm =
        part_.at_mm - 0.5 * panels_[drawn.panel].thickness_mm * panels_[drawn.panel].normal;
    check.position_mm = rng_.uniform(0.4, 1.0);
    const double half = rng_.uniform(0.2, 0.5);
    check.diameter_mm = Limits{drawn.diameter_mm - half, drawn.diameter_mm + half};
    part_.plan.holes.push_back(check);
    what_ += ", in the plan";
  }

  void add_hole(Recipe& made) {
    const std::size_t chosen = panel_where([](const Panel&) { return true; });
    const double diameter = rng_.uniform(3.0, 8.0);
    bool found = false;
    const Vector2d at = free_place(made, chosen, 0.5 * diameter, rng_, found);
    if (!found) return;
    part_.of_kind = true;
    part_.radius_mm = 0.5 * diameter;
    part_.at_mm = panels_[chosen].at(at.x(), at.y());
    made.holes.push_back({chosen, at, diameter});
    what_ += " of " + fixed(diameter, 1) + " mm";
  }

  void drop_foot(Recipe& made) {
    const std::size_t gone = rng_.index(made.feet.size());
    const Foot& foot = made.feet[gone];
    part_.of_kind = true;
    part_.at_mm << foot.at_mm.x(), foot.at_mm.y(), made.floor_mm;
    part_.radius_mm = std::max(0.5 * foot.diameter_mm, 0.5 * foot.length_mm);
    what_ = foot.diameter_mm > 0.0 ? ": a boss" : ": a rib";
    made.feet.erase(made.feet.begin() + static_cast<std::ptrdiff_t>(gone));
  }

  Rng rng_;
  PlantedPart part_;
  std::vector<Panel> panels_;
  double size_ = 0.0, sign_ = 1.0;
  std::string what_;
};

}  // namespace

std::vector<PlantedKind> all_planted_kinds() {
  return {PlantedKind::None,    PlantedKind::Shrink,      PlantedKind::ShrinkAlong,
          PlantedKind::Bow,     PlantedKind::Twist,       PlantedKind::Lean,
          PlantedKind::Offset,  PlantedKind::Dent,        PlantedKind::Blob,
          PlantedKind::Corner,  PlantedKind::MissingHole, PlantedKind::HoleSize,
          PlantedKind::HoleOff, PlantedKind::ExtraHole,   PlantedKind::MissingFoot};
}

std::string planted_name(PlantedKind kind) {
  switch (kind) {
    case PlantedKind::None: return "none";
    case PlantedKind::Shrink: return "shrink, growth";
    case PlantedKind::ShrinkAlong: return "along one axis";
    case PlantedKind::Bow: return "bow";
    case PlantedKind::Twist: return "twist";
    case PlantedKind::Lean: return "leaning flange";
    case PlantedKind::Offset: return "face off";
    case PlantedKind::Dent: return "dent";
    case PlantedKind::Blob: return "blob, spatter";
    case PlantedKind::Corner: return "warped corner";
    case PlantedKind::MissingHole: return "missing hole";
    case PlantedKind::HoleSize: return "hole's size";
    case PlantedKind::HoleOff: return "hole's place";
    case PlantedKind::ExtraHole: return "hole too many";
    default: return "missing boss, rib";
  }
}

PlantedPart planted_part(PlantedKind kind, int number) {
  return Planter(kind, number).make();
}

}  // namespace trammel::test
