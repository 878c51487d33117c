#pragma once

/// How likely a number of things is that fall at random and independently (Poisson's distribution).

namespace trammel {

/// log of the chance that a Poisson variable of this mean is `least` or more; 0 where the mean is
/// as many: that is no feat.
[[nodiscard]] double log_as_many(int least, double mean);

/// log of the chance that a Poisson variable of this mean is `most` or less; 0 where the mean is no
/// more.
[[nodiscard]] double log_as_few(int most, double mean);

}  // namespace trammel
