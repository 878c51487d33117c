#include "report/colour_science.hpp"

#include <algorithm>
#include <cmath>

namespace trammel::test {
namespace {

Eigen::Matrix3d sight_matrix(Sight sight) {
  Eigen::Matrix3d matrix = Eigen::Matrix3d::Identity();
  switch (sight) {
    case Sight::Normal: break;
    case Sight::Protan:
      matrix << 0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116,
          1.051998;
      break;
    case Sight::Deutan:
      matrix << 0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940,
          0.968881;
      break;
    case Sight::Tritan:
      matrix << 1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367,
          0.303900;
      break;
  }
  return matrix;
}

double lab_curve(double t) {
  const double knee = 6.0 / 29.0;
  return t > knee * knee * knee ? std::cbrt(t) : t / (3.0 * knee * knee) + 4.0 / 29.0;
}

}  // namespace

Eigen::Vector3d linear_light(Rgb colour) {
  const auto linear = [](std::uint8_t channel) {
    const double s = channel / 255.0;
    return s <= 0.04045 ? s / 12.92 : std::pow((s + 0.055) / 1.055, 2.4);
  };
  return {linear(colour.red), linear(colour.green), linear(colour.blue)};
}

Eigen::Vector3d lab_seen(Rgb colour, Sight sight) {
  const Eigen::Vector3d light =
      (sight_matrix(sight) * linear_light(colour)).cwiseMax(0.0).cwiseMin(1.0);
  Eigen::Matrix3d xyz_from_rgb;
  xyz_from_rgb << 0.4124, 0.3576, 0.1805, 0.2126, 0.7152, 0.0722, 0.0193, 0.1192, 0.9505;
  const Eigen::Vector3d white = xyz_from_rgb * Eigen::Vector3d::Ones();
  const Eigen::Vector3d xyz = (xyz_from_rgb * light).cwiseQuotient(white);
  const double x = lab_curve(xyz.x()), y = lab_curve(xyz.y()), z = lab_curve(xyz.z());
  return {116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)};
}

double difference(Rgb a, Rgb b, Sight sight) {
  return (lab_seen(a, sight) - lab_seen(b, sight)).norm();
}

}  // namespace trammel::test
