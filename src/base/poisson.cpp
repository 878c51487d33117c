#include "trammel/base/poisson.hpp"

#include <algorithm>
#include <cmath>

namespace trammel {

double log_as_many(int least, double mean) {
  if (least <= 0 || mean >= least) return 0.0;
  if (mean <= 0.0) return -700.0;
  double term = 1.0, sum = 1.0;
  for (int k = least + 1; term > 1e-12 * sum; ++k)
    sum += term *= mean / k;
  return std::min(0.0, least * std::log(mean) - mean - std::lgamma(least + 1.0) + std::log(sum));
}

double log_as_few(int most, double mean) {
  if (mean <= most) return 0.0;
  double term = 1.0, sum = 1.0;  // from `most` down
  for (int k = most; k > 0; --k)
    sum += term *= k / mean;
  return most * std::log(mean) - mean - std::lgamma(most + 1.0) + std::log(sum);
}

}  // namespace trammel
