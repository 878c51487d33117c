#include "bench/plain_job.hpp"

namespace trammel::bench {

std::optional<double> plain_job_ms(const std::filesystem::path&) {
  return std::nullopt;
}

std::optional<PlainPose> plain_alignment(const Mesh&, const Eigen::Matrix3Xd&) {
  return std::nullopt;
}

}  // namespace trammel::bench
