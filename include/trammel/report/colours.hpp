#pragma once

/// The colours of a sheet: a few inks, and the steps that stand for multiples of the band.
///
/// Steps: 0 inside the band, ±1 to 1.5 times its limit, ±2 to twice, ±3 beyond; + proud (warm),
/// − shy (cool). Each step outward is darker, so that they read in grey print as well.

#include <cstdint>

#include "trammel/model/plan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// sRGB, 8 bits a channel.
struct Rgb {
  std::uint8_t red = 0, green = 0, blue = 0;
};
[[nodiscard]] constexpr bool operator==(const Rgb& a, const Rgb& b) {
  return a.red == b.red && a.green == b.green && a.blue == b.blue;
}

constexpr Rgb kInk{0x1d, 0x1f, 0x21};          ///< text
constexpr Rgb kSecondInk{0x5d, 0x61, 0x66};    ///< second voice
constexpr Rgb kRule{0xc9, 0xcc, 0xd0};         ///< thin rules
constexpr Rgb kPaper{0xff, 0xff, 0xff};        ///< background and unseen surface
constexpr Rgb kHatch{0x8a, 0x8f, 0x94};        ///< the lines over unseen surface
constexpr Rgb kEdge{0x7c, 0x80, 0x85};         ///< edges of the part
constexpr Rgb kBad{0x9b, 0x1c, 0x31};          ///< holes that fail
constexpr Rgb kNotMeasured{0x9a, 0x9d, 0xa1};  ///< scanned points without a reading

/// Farthest step on either side.
constexpr int kLastStep = 3;
/// Where a step begins, in multiples of the band's limit: step 1 at 1, 2 at 1.5, 3 at 2.
[[nodiscard]] double step_start(int step);

/// @param deviation_mm  finite; exactly on a limit counts as the step inside it
/// @return              −3 … 3
[[nodiscard]] int step_of(double deviation_mm, const Band& band);

/// @param step  −3 … 3
[[nodiscard]] Rgb colour_of_step(int step);

/// The colour of a reading; kNotMeasured for NaN.
[[nodiscard]] Rgb colour_of(double deviation_mm, const Band& band);

/// Pass green, fail red, undecided ochre, listed the second ink.
[[nodiscard]] Rgb verdict_colour(Outcome outcome);

/// The colour scaled towards black; factor in [0, 1].
[[nodiscard]] Rgb darkened(Rgb colour, double factor);

}  // namespace trammel
