#include "trammel/report/colours.hpp"

#include <array>
#include <cmath>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

constexpr std::array<double, 3> kStepStarts = {1.0, 1.5, 2.0};

constexpr std::array<Rgb, 2 * kLastStep + 1> kSteps = {{
    {0x3f, 0x21, 0x70},  // shy, beyond 2×
    {0x7a, 0x69, 0xad},
    {0xc0, 0xb8, 0xdc},
    {0xe4, 0xe4, 0xe0},  // inside the band
    {0xf6, 0xc9, 0x8f},
    {0xe0, 0x8a, 0x2c},
    {0xa8, 0x54, 0x08},  // proud, beyond 2×
}};

}  // namespace

double step_start(int step) {
  TRAMMEL_CHECK(step >= 1 && step <= kLastStep, "steps that begin somewhere are 1 to 3");
  return kStepStarts[static_cast<std::size_t>(step - 1)];
}

int step_of(double deviation_mm, const Band& band) {
  const double limit_mm = deviation_mm > 0.0 ? band.over_mm : band.under_mm;
  int step = 0;
  while (step < kLastStep && std::abs(deviation_mm) > limit_mm * step_start(step + 1))
    ++step;
  return deviation_mm > 0.0 ? step : -step;
}

Rgb colour_of_step(int step) {
  TRAMMEL_CHECK(std::abs(step) <= kLastStep, "a step is −3 to 3");
  return kSteps[static_cast<std::size_t>(step + kLastStep)];
}

Rgb colour_of(double deviation_mm, const Band& band) {
  return std::isfinite(deviation_mm) ? colour_of_step(step_of(deviation_mm, band)) : kNotMeasured;
}

Rgb verdict_colour(Outcome outcome) {
  switch (outcome) {
    case Outcome::Pass: return {0x1f, 0x6f, 0x4a};
    case Outcome::Fail: return kBad;
    case Outcome::Undecided: return {0x7a, 0x5c, 0x00};
    case Outcome::Listed: return kSecondInk;
  }
  return kSecondInk;
}

Rgb darkened(Rgb colour, double factor) {
  const auto scaled = [&](std::uint8_t channel) {
    return static_cast<std::uint8_t>(std::lround(factor * channel));
  };
  return {scaled(colour.red), scaled(colour.green), scaled(colour.blue)};
}

}  // namespace trammel
