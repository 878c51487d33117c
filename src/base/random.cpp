#include "trammel/base/random.hpp"

#include <cmath>

namespace trammel {
namespace {

constexpr double kTwoPi = 6.283185307179586;

/// FNV-1a over the name, mixed with the seed: a stream's seed must differ for near-equal names.
std::uint64_t stream_seed(std::uint64_t seed, std::string_view name) {
  std::uint64_t hash = 0xcbf29ce484222325ULL ^ (seed * 0x9e3779b97f4a7c15ULL);
  for (const char c : name) {
    hash ^= static_cast<unsigned char>(c);
    hash *= 0x100000001b3ULL;
  }
  hash ^= hash >> 29;
  hash *= 0xbf58476d1ce4e5b9ULL;
  return hash ^ (hash >> 32);
}

}  // namespace

Rng::Rng(std::uint64_t seed) : seed_(seed), engine_(seed) {}

Rng Rng::stream(std::string_view name) const {
  return Rng(stream_seed(seed_, name));
}

double Rng::uniform() {
  return static_cast<double>(engine_() >> 11) * 0x1.0p-53;
}

double Rng::uniform(double low, double high) {
  return low + (high - low) * uniform();
}

std::size_t Rng::index(std::size_t count) {
  // The bias of the remainder is below count / 2^64: nothing a seeded search could notice.
  return static_cast<std::size_t>(engine_() % count);
}

double Rng::normal() {
  const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
  return radius * std::cos(kTwoPi * uniform());
}

Eigen::Vector3d Rng::direction() {
  const double z = uniform(-1.0, 1.0);
  const double angle = kTwoPi * uniform();
  const double r = std::sqrt(std::max(0.0, 1.0 - z * z));
  return {r * std::cos(angle), r * std::sin(angle), z};
}

Eigen::Quaterniond Rng::rotation() {
  // Shoemake 1992, "Uniform random rotations", Graphics Gems III.
  const double u = uniform(), a = kTwoPi * uniform(), b = kTwoPi * uniform();
  const double s = std::sqrt(1.0 - u), t = std::sqrt(u);
  return Eigen::Quaterniond(t * std::cos(b), s * std::sin(a), s * std::cos(a), t * std::sin(b));
}

}  // namespace trammel
