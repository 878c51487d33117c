#pragma once

/// Memory for millions of numbers costs more to have handed over page by page than to fill: 240 MB
/// are ready in a few milliseconds on large pages, and in half a second without.

#include <Eigen/Core>
#include <cstddef>
#include <vector>

namespace trammel {

/// Asks the system for large pages, where it has them, for memory that nothing was written to yet.
/// Advice only: it moves no data, and nothing depends on its being taken. Less than some ten
/// megabytes are left alone.
void advise_large_pages(void* begin, std::size_t bytes);

/// Of `count` elements, each as a new T is.
template <typename T>
[[nodiscard]] std::vector<T> large_vector(std::size_t count) {
  std::vector<T> out;
  out.reserve(count);
  advise_large_pages(out.data(), count * sizeof(T));
  out.resize(count);
  return out;
}

/// Of as many rows as the type has, not initialised.
template <typename Matrix = Eigen::Matrix3Xd>
[[nodiscard]] Matrix large_columns(Eigen::Index count) {
  Matrix out(Matrix::RowsAtCompileTime, count);
  advise_large_pages(out.data(), static_cast<std::size_t>(out.size()) * sizeof(*out.data()));
  return out;
}

}  // namespace trammel
