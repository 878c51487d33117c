#pragma once

/// A general tolerance: what a class such as "ISO 2768-m" allows, by the size it is asked for.

#include <optional>
#include <string>
#include <vector>

namespace trammel {

struct GeneralTolerance {
  /// The deviation allowed over a range of sizes.
  struct Step {
    double up_to_mm = 0.0;  ///< last size of the range; it begins above the one before
    /// To either side, or as the width of a zone: mm, of a class of angles radians; absent where
    /// the class gives none.
    std::optional<double> allowed;
  };
  std::string name;       ///< "ISO 2768-m", as a drawing calls it
  double least_mm = 0.0;  ///< a smaller size has no general tolerance
  std::vector<Step> steps;

  /// What is allowed for a size of that length; nothing where the class gives none.
  [[nodiscard]] std::optional<double> allowed_at(double size_mm) const;
};

}  // namespace trammel
