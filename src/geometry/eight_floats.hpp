#pragma once

/// Eight floats at once, in the vectors that the including file is compiled for. Everything is in
/// an anonymous namespace: two files compiled for different machines must not share it.

#if defined(__AVX2__)
#include <immintrin.h>
#endif

namespace trammel::wide {
namespace {

#if defined(__AVX2__)

struct F8 {
  __m256 v;
};
inline F8 load(const float* p) {
  return {_mm256_load_ps(p)};
}
inline F8 all(float x) {
  return {_mm256_set1_ps(x)};
}
inline void store(float* p, F8 a) {
  _mm256_store_ps(p, a.v);
}
inline F8 operator+(F8 a, F8 b) {
  return {_mm256_add_ps(a.v, b.v)};
}
inline F8 operator-(F8 a, F8 b) {
  return {_mm256_sub_ps(a.v, b.v)};
}
inline F8 operator*(F8 a, F8 b) {
  return {_mm256_mul_ps(a.v, b.v)};
}
inline F8 operator/(F8 a, F8 b) {
  return {_mm256_div_ps(a.v, b.v)};
}
inline F8 smaller(F8 a, F8 b) {
  return {_mm256_min_ps(a.v, b.v)};
}
inline F8 larger(F8 a, F8 b) {
  return {_mm256_max_ps(a.v, b.v)};
}
inline F8 root(F8 a) {
  return {_mm256_sqrt_ps(a.v)};
}
inline F8 at_most(F8 a, F8 b) {
  return {_mm256_cmp_ps(a.v, b.v, _CMP_LE_OQ)};
}
inline F8 both(F8 a, F8 b) {
  return {_mm256_and_ps(a.v, b.v)};
}
/// `yes` where the mask is set, `no` elsewhere.
inline F8 choose(F8 mask, F8 yes, F8 no) {
  return {_mm256_blendv_ps(no.v, yes.v, mask.v)};
}
inline unsigned bits(F8 mask) {
  return static_cast<unsigned>(_mm256_movemask_ps(mask.v));
}

#else

/// For any machine. A mask is 1 where it is set and 0 elsewhere.
struct F8 {
  float v[8];
};
template <typename Work>
inline F8 each(Work work) {
  F8 out;
  for (int k = 0; k < 8; ++k)
    out.v[k] = work(k);
  return out;
}
inline F8 load(const float* p) {
  return each([=](int k) { return p[k]; });
}
inline F8 all(float x) {
  return each([=](int) { return x; });
}
inline void store(float* p, const F8& a) {
  for (int k = 0; k < 8; ++k)
    p[k] = a.v[k];
}
inline F8 operator+(const F8& a, const F8& b) {
  return each([&](int k) { return a.v[k] + b.v[k]; });
}
inline F8 operator-(const F8& a, const F8& b) {
  return each([&](int k) { return a.v[k] - b.v[k]; });
}
inline F8 operator*(const F8& a, const F8& b) {
  return each([&](int k) { return a.v[k] * b.v[k]; });
}
inline F8 operator/(const F8& a, const F8& b) {
  return each([&](int k) { return a.v[k] / b.v[k]; });
}
inline F8 smaller(const F8& a, const F8& b) {
  return each([&](int k) { return a.v[k] < b.v[k] ? a.v[k] : b.v[k]; });
}
inline F8 larger(const F8& a, const F8& b) {
  return each([&](int k) { return a.v[k] > b.v[k] ? a.v[k] : b.v[k]; });
}
inline F8 root(const F8& a) {
  return each([&](int k) { return __builtin_sqrtf(a.v[k]); });
}
inline F8 at_most(const F8& a, const F8& b) {
  return each([&](int k) { return a.v[k] <= b.v[k] ? 1.0F : 0.0F; });
}
inline F8 both(const F8& a, const F8& b) {
  return a * b;
}
inline F8 choose(const F8& mask, const F8& yes, const F8& no) {
  return each([&](int k) { return mask.v[k] > 0.0F ? yes.v[k] : no.v[k]; });
}
inline unsigned bits(const F8& mask) {
  unsigned out = 0;
  for (unsigned k = 0; k < 8; ++k)
    out |= (mask.v[k] > 0.0F ? 1U : 0U) << k;
  return out;
}

#endif

struct V8 {
  F8 x, y, z;
};
inline V8 operator-(V8 a, V8 b) {
  return {a.x - b.x, a.y - b.y, a.z - b.z};
}
inline V8 operator*(F8 s, V8 a) {
  return {s * a.x, s * a.y, s * a.z};
}
inline F8 dot(V8 a, V8 b) {
  return a.x * b.x + a.y * b.y + a.z * b.z;
}
inline V8 cross(V8 a, V8 b) {
  return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

}  // namespace
}  // namespace trammel::wide
