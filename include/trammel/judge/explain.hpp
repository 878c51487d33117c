#pragma once

/// Which few flaws of the whole part explain what was read: forward selection by the Bayesian
/// information criterion.

#include <Eigen/Core>
#include <vector>

#include "trammel/judge/flaw_shape.hpp"
#include "trammel/judge/independent_readings.hpp"

namespace trammel {

struct ExplainSettings {
  double reach_mm = 0.05;    ///< readings farther off than this from a model count as not of it
  double least_gain = 10.0;  ///< of the criterion; above 10 is "very strong" (Kass & Raftery 1995)
  double least_noise_mm = 0.002;  ///< readings are never taken to be finer than this
  int most_flaws = 5;
  bool moves_of_holding = false;  ///< try walls that lie where they should as well
};

/// One flaw that was found, with its unknowns as the last joint fit has them.
struct ExplainedFlaw {
  FlawShape shape;
  Eigen::VectorXd unknowns;
  Eigen::VectorXd errors;  ///< 1 σ of each
};

struct Explanation {
  std::vector<ExplainedFlaw> flaws;  ///< in the order of what they gained
  Eigen::VectorXd motion;            ///< 6, of the pose, found again beside the flaws
};

/// Adds one flaw after the other to a model of motion and flaws, each time the one that lowers
/// n · ln(loss / n) + k · ln n the most [Schwarz 1978, doi:10.1214/aos/1176344136], n being the
/// effective number of readings and the loss truncated at the reach. A flaw counts only where it
/// moves some reading by what matters there, also when all are found, and never where it or
/// another would have to be more than twice as large as anything that was read, of growth a quarter
/// larger. A face or wall off its place or leaning may be up to four times as large, if no more
/// than twice would be left of it alone by a fit of the part. Where it changes what
/// is made of the readings by what matters, it must take away a fifth of what was left of them.
/// Among flaws of one kind that explain about as much, and leave no more readings off by what
/// matters, the one that moves less of the part is taken: of two walls that lean towards each other
/// the smaller one is said to lean. Where it is asked for, walls that lie where they should are
/// tried as well, off their place and leaning: where the part lies on one that was moved, all the
/// rest is off.
/// @param matters_mm  #B, smallest deviation that is worth telling
/// @param origin_mm   middle of the part
[[nodiscard]] Explanation explain(const IndependentReadings& readings,
                                  const std::vector<FlatFace>& faces,
                                  const std::vector<Wall>& walls, const Eigen::VectorXd& matters_mm,
                                  const Eigen::Vector3d& origin_mm,
                                  const ExplainSettings& settings = {});

/// Deviation that one flaw makes at a place.
[[nodiscard]] double deviation_of(const ExplainedFlaw& flaw, const std::vector<FlatFace>& faces,
                                  const Eigen::Vector3d& origin_mm, const SurfacePlace& at);

}  // namespace trammel
