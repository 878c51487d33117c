#pragma once

/// Seeded random numbers that are the same with every standard library.
///
/// One stream a stage, forked by name, so that a new draw in one stage shifts no other.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <cstdint>
#include <random>
#include <string_view>

namespace trammel {

class Rng {
 public:
  explicit Rng(std::uint64_t seed);

  /// An independent stream; equal for equal seed and name, untouched by draws made so far.
  [[nodiscard]] Rng stream(std::string_view name) const;

  /// Uniform in [0, 1), 53 bits.
  double uniform();
  /// Uniform in [low, high).
  double uniform(double low, double high);
  /// Uniform in {0, …, count − 1}; count > 0.
  std::size_t index(std::size_t count);
  /// Standard normal, by Box and Muller's transform.
  double normal();
  /// Uniform on the unit sphere.
  Eigen::Vector3d direction();
  /// Uniform over SO(3).
  Eigen::Quaterniond rotation();

 private:
  std::uint64_t seed_;
  std::mt19937_64 engine_;
};

}  // namespace trammel
