#pragma once

/// Eight floats at once, in the vectors that the including file is compiled for. Everything is in
/// an anonymous namespace: two files compiled for different machines must not share it.

#include <cstdint>

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
/// a b + c, rounded once.
inline F8 fused(F8 a, F8 b, F8 c) {
  return {_mm256_fmadd_ps(a.v, b.v, c.v)};
}
/// a b − c, rounded once.
inline F8 fused_less(F8 a, F8 b, F8 c) {
  return {_mm256_fmsub_ps(a.v, b.v, c.v)};
}
inline float smallest(F8 a) {
  const __m128 four = _mm_min_ps(_mm256_castps256_ps128(a.v), _mm256_extractf128_ps(a.v, 1));
  const __m128 two = _mm_min_ps(four, _mm_movehl_ps(four, four));
  return _mm_cvtss_f32(_mm_min_ss(two, _mm_shuffle_ps(two, two, 1)));
}
/// Lanes that are not negative.
inline unsigned not_negative(const std::int32_t* p) {
  const __m256i lanes = _mm256_load_si256(reinterpret_cast<const __m256i*>(p));
  return ~static_cast<unsigned>(_mm256_movemask_ps(_mm256_castsi256_ps(lanes))) & 0xffU;
}
/// `yes` in the lanes of the bits, `no` elsewhere.
inline F8 choose(unsigned lanes, F8 yes, F8 no) {
  const __m256i bit = _mm256_setr_epi32(1, 2, 4, 8, 16, 32, 64, 128);
  const __m256i set = _mm256_and_si256(_mm256_set1_epi32(static_cast<int>(lanes)), bit);
  return {_mm256_blendv_ps(no.v, yes.v, _mm256_castsi256_ps(_mm256_cmpeq_epi32(set, bit)))};
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
inline F8 fused(const F8& a, const F8& b, const F8& c) {
  return a * b + c;
}
inline F8 fused_less(const F8& a, const F8& b, const F8& c) {
  return a * b - c;
}
inline float smallest(const F8& a) {
  float out = a.v[0];
  for (int k = 1; k < 8; ++k)
    out = a.v[k] < out ? a.v[k] : out;
  return out;
}
inline unsigned not_negative(const std::int32_t* p) {
  unsigned out = 0;
  for (unsigned k = 0; k < 8; ++k)
    out |= (p[k] >= 0 ? 1U : 0U) << k;
  return out;
}
inline F8 choose(unsigned lanes, const F8& yes, const F8& no) {
  return each(
      [&](int k) { return (lanes >> static_cast<unsigned>(k) & 1U) != 0 ? yes.v[k] : no.v[k]; });
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
  return fused(a.x, b.x, fused(a.y, b.y, a.z * b.z));
}
inline V8 cross(V8 a, V8 b) {
  return {fused_less(a.y, b.z, a.z * b.y), fused_less(a.z, b.x, a.x * b.z),
          fused_less(a.x, b.y, a.y * b.x)};
}

}  // namespace
}  // namespace trammel::wide
