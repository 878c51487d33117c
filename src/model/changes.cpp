#include "trammel/model/changes.hpp"

#include <algorithm>
#include <cmath>

namespace trammel {

std::string outcome_name(ChangesOutcome outcome) {
  switch (outcome) {
    case ChangesOutcome::Unchanged: return "unchanged";
    case ChangesOutcome::Changed: return "changed";
    case ChangesOutcome::Undecided: break;
  }
  return "undecided";
}

double ScanFit::standard_error_mm(const Eigen::Vector3d& p_old,
                                  const Eigen::Vector3d& normal) const {
  Eigen::Matrix<double, 6, 1> row;
  row << (p_old - center_mm).cross(normal), normal;
  return std::sqrt(std::max(0.0, row.dot(covariance * row)));
}

}  // namespace trammel
