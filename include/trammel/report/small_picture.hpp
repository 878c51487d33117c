#pragma once

/// A picture made small.

#include "trammel/report/picture.hpp"

namespace trammel {

/// The picture at most so wide and so high, its shape kept: each pixel is the mean of those it
/// stands for, weighted by how much of each it covers. One that is small enough comes back as it
/// is.
[[nodiscard]] Picture shrunk(const Picture& picture, int most_width, int most_height);

}  // namespace trammel
