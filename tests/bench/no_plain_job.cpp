#include "bench/plain_job.hpp"

namespace trammel::bench {

std::optional<double> plain_job_ms(const std::filesystem::path&) {
  return std::nullopt;
}

}  // namespace trammel::bench
