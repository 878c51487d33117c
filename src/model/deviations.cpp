#include "trammel/model/deviations.hpp"

#include <algorithm>

namespace trammel {

std::size_t count_of(const Deviations& deviations, Reading reading) {
  return static_cast<std::size_t>(
      std::count(deviations.reading.begin(), deviations.reading.end(), reading));
}

}  // namespace trammel
