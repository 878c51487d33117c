#include "trammel/model/words.hpp"

#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {

std::string direction_words(const Eigen::Vector3d& direction) {
  const double length = direction.norm();
  if (!(length > 0.0)) return "nowhere";
  std::string text;
  for (int k = 0; k < 3; ++k) {
    const double part = direction[k] / length;
    if (std::abs(part) < 0.38) continue;
    if (!text.empty()) text += ' ';
    text += part > 0.0 ? "+" : "\u2212";
    text += static_cast<char>('X' + k);
  }
  return text;
}

std::string place_words(const Eigen::Vector3d& point_mm) {
  return "(" + fixed(point_mm[0], 1) + ", " + fixed(point_mm[1], 1) + ", " + fixed(point_mm[2], 1) +
         ")";
}

namespace {

/// In the unit that is printed.
double printed(double value, FormKind kind) {
  return kind == FormKind::Angle ? value / kDegree : value;
}

std::string with_unit(double value, FormKind kind, bool finer) {
  return fixed(printed(value, kind), finer ? 3 : 2) + (kind == FormKind::Angle ? "\u00b0" : " mm");
}

}  // namespace

std::string form_figure(double value, FormKind kind, double uncertainty) {
  constexpr double kFine = 0.02;
  return with_unit(value, kind, printed(uncertainty, kind) < kFine);
}

std::string form_limit(double value, FormKind kind) {
  return with_unit(value, kind, std::abs(std::remainder(printed(value, kind), 0.01)) > 1e-6);
}

std::string absence_words(const Region& region) {
  switch (region.absence) {
    case Absence::Hole:
      return (region.hole_mm ? "hole of about " + fixed(*region.hole_mm, 1) + " mm" : "hole") +
             std::string(" that the design does not have");
    case Absence::Feature: return "what the design has there was not made";
    default: return region.lacks ? "material is cut away through the edge" : "there is no material";
  }
}

std::string size_words(const Box& box) {
  std::string out;
  for (const double side_mm : box.size_mm())
    out += (out.empty() ? "" : " × ") + fixed(side_mm, side_mm < 9.95 ? 1 : 0);
  return out + " mm along X, Y, Z";
}

int decimals_for(double limit_mm) {
  if (!(limit_mm > 0.0) || limit_mm >= 5.0) return 1;
  return limit_mm >= 0.1 ? 2 : 3;
}

}  // namespace trammel
