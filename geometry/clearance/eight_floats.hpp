#pragma once

// Eight floats side by side, for the kernel files only. Each of them is compiled for another instruction set and names
// a namespace of its own, so that the linker never mixes their inline functions.
#ifndef BAYWRIGHT_KERNEL_NAMESPACE
#define BAYWRIGHT_KERNEL_NAMESPACE kernels_base
#endif

#include <cmath>
#include <cstdint>

#if defined(__AVX2__) && defined(__FMA__)
#include <immintrin.h>
#elif defined(__SSE2__)
#include <emmintrin.h>
#endif

namespace baywright::BAYWRIGHT_KERNEL_NAMESPACE {

#if defined(__AVX2__) && defined(__FMA__)

struct F8 {
  __m256 v;
};
inline F8 all(float s) { return {_mm256_set1_ps(s)}; }
inline F8 load(const float* p) { return {_mm256_loadu_ps(p)}; }
inline void store(F8 a, float* p) { _mm256_storeu_ps(p, a.v); }
inline F8 operator+(F8 a, F8 b) { return {_mm256_add_ps(a.v, b.v)}; }
inline F8 operator-(F8 a, F8 b) { return {_mm256_sub_ps(a.v, b.v)}; }
inline F8 operator*(F8 a, F8 b) { return {_mm256_mul_ps(a.v, b.v)}; }
inline F8 operator/(F8 a, F8 b) { return {_mm256_div_ps(a.v, b.v)}; }
inline F8 times_plus(F8 a, F8 b, F8 c) { return {_mm256_fmadd_ps(a.v, b.v, c.v)}; }
inline F8 least(F8 a, F8 b) { return {_mm256_min_ps(a.v, b.v)}; }
inline F8 greatest(F8 a, F8 b) { return {_mm256_max_ps(a.v, b.v)}; }
inline F8 root(F8 a) { return {_mm256_sqrt_ps(a.v)}; }
inline F8 size(F8 a) { return {_mm256_andnot_ps(_mm256_set1_ps(-0.0F), a.v)}; }
inline F8 operator<=(F8 a, F8 b) { return {_mm256_cmp_ps(a.v, b.v, _CMP_LE_OQ)}; }
inline F8 operator>(F8 a, F8 b) { return {_mm256_cmp_ps(a.v, b.v, _CMP_GT_OQ)}; }
inline F8 operator&(F8 a, F8 b) { return {_mm256_and_ps(a.v, b.v)}; }
inline F8 where(F8 mask, F8 yes, F8 no) { return {_mm256_blendv_ps(no.v, yes.v, mask.v)}; }
inline unsigned bits(F8 mask) { return static_cast<unsigned>(_mm256_movemask_ps(mask.v)); }

#elif defined(__SSE2__)

struct F8 {
  __m128 v, w;
};
inline F8 all(float s) { return {_mm_set1_ps(s), _mm_set1_ps(s)}; }
inline F8 load(const float* p) { return {_mm_loadu_ps(p), _mm_loadu_ps(p + 4)}; }
inline void store(F8 a, float* p) {
  _mm_storeu_ps(p, a.v);
  _mm_storeu_ps(p + 4, a.w);
}
inline F8 operator+(F8 a, F8 b) { return {_mm_add_ps(a.v, b.v), _mm_add_ps(a.w, b.w)}; }
inline F8 operator-(F8 a, F8 b) { return {_mm_sub_ps(a.v, b.v), _mm_sub_ps(a.w, b.w)}; }
inline F8 operator*(F8 a, F8 b) { return {_mm_mul_ps(a.v, b.v), _mm_mul_ps(a.w, b.w)}; }
inline F8 operator/(F8 a, F8 b) { return {_mm_div_ps(a.v, b.v), _mm_div_ps(a.w, b.w)}; }
inline F8 times_plus(F8 a, F8 b, F8 c) { return a * b + c; }
inline F8 least(F8 a, F8 b) { return {_mm_min_ps(a.v, b.v), _mm_min_ps(a.w, b.w)}; }
inline F8 greatest(F8 a, F8 b) { return {_mm_max_ps(a.v, b.v), _mm_max_ps(a.w, b.w)}; }
inline F8 root(F8 a) { return {_mm_sqrt_ps(a.v), _mm_sqrt_ps(a.w)}; }
inline F8 size(F8 a) {
  const __m128 sign = _mm_set1_ps(-0.0F);
  return {_mm_andnot_ps(sign, a.v), _mm_andnot_ps(sign, a.w)};
}
inline F8 operator<=(F8 a, F8 b) { return {_mm_cmple_ps(a.v, b.v), _mm_cmple_ps(a.w, b.w)}; }
inline F8 operator>(F8 a, F8 b) { return {_mm_cmpgt_ps(a.v, b.v), _mm_cmpgt_ps(a.w, b.w)}; }
inline F8 operator&(F8 a, F8 b) { return {_mm_and_ps(a.v, b.v), _mm_and_ps(a.w, b.w)}; }
inline __m128 where_four(__m128 mask, __m128 yes, __m128 no) {
  return _mm_or_ps(_mm_and_ps(mask, yes), _mm_andnot_ps(mask, no));
}
inline F8 where(F8 mask, F8 yes, F8 no) { return {where_four(mask.v, yes.v, no.v), where_four(mask.w, yes.w, no.w)}; }
inline unsigned bits(F8 mask) {
  return static_cast<unsigned>(_mm_movemask_ps(mask.v)) | static_cast<unsigned>(_mm_movemask_ps(mask.w)) << 4U;
}

#else

struct F8 {
  float v[8];
};
template <class F>
inline F8 each(const F& f) {
  F8 out;
  for (int i = 0; i < 8; ++i) out.v[i] = f(i);
  return out;
}
// Masks are 1 and 0.
inline F8 all(float s) {
  return each([&](int) { return s; });
}
inline F8 load(const float* p) {
  return each([&](int i) { return p[i]; });
}
inline void store(const F8& a, float* p) {
  for (int i = 0; i < 8; ++i) p[i] = a.v[i];
}
inline F8 operator+(const F8& a, const F8& b) {
  return each([&](int i) { return a.v[i] + b.v[i]; });
}
inline F8 operator-(const F8& a, const F8& b) {
  return each([&](int i) { return a.v[i] - b.v[i]; });
}
inline F8 operator*(const F8& a, const F8& b) {
  return each([&](int i) { return a.v[i] * b.v[i]; });
}
inline F8 operator/(const F8& a, const F8& b) {
  return each([&](int i) { return a.v[i] / b.v[i]; });
}
inline F8 times_plus(const F8& a, const F8& b, const F8& c) { return a * b + c; }
inline F8 least(const F8& a, const F8& b) {
  return each([&](int i) { return a.v[i] < b.v[i] ? a.v[i] : b.v[i]; });
}
inline F8 greatest(const F8& a, const F8& b) {
  return each([&](int i) { return a.v[i] > b.v[i] ? a.v[i] : b.v[i]; });
}
inline F8 root(const F8& a) {
  return each([&](int i) { return std::sqrt(a.v[i]); });
}
inline F8 size(const F8& a) {
  return each([&](int i) { return std::fabs(a.v[i]); });
}
inline F8 operator<=(const F8& a, const F8& b) {
  return each([&](int i) { return a.v[i] <= b.v[i] ? 1.0F : 0.0F; });
}
inline F8 operator>(const F8& a, const F8& b) {
  return each([&](int i) { return a.v[i] > b.v[i] ? 1.0F : 0.0F; });
}
inline F8 operator&(const F8& a, const F8& b) { return a * b; }
inline F8 where(const F8& mask, const F8& yes, const F8& no) {
  return each([&](int i) { return mask.v[i] != 0 ? yes.v[i] : no.v[i]; });
}
inline unsigned bits(const F8& mask) {
  unsigned out = 0;
  for (unsigned i = 0; i < 8; ++i) out |= (mask.v[i] != 0 ? 1U : 0U) << i;
  return out;
}

#endif

/// Eight points or vectors.
struct V8 {
  F8 x, y, z;
};
inline V8 all(const float* p) { return {all(p[0]), all(p[1]), all(p[2])}; }
inline V8 operator+(const V8& a, const V8& b) { return {a.x + b.x, a.y + b.y, a.z + b.z}; }
inline V8 operator-(const V8& a, const V8& b) { return {a.x - b.x, a.y - b.y, a.z - b.z}; }
inline V8 operator*(const F8& s, const V8& a) { return {s * a.x, s * a.y, s * a.z}; }
inline F8 dot(const V8& a, const V8& b) { return times_plus(a.x, b.x, times_plus(a.y, b.y, a.z * b.z)); }
inline V8 times_plus(const F8& s, const V8& a, const V8& b) {
  return {times_plus(s, a.x, b.x), times_plus(s, a.y, b.y), times_plus(s, a.z, b.z)};
}
inline F8 clamped(const F8& a, const F8& lo, const F8& hi) { return least(greatest(a, lo), hi); }
inline V8 clamped(const V8& a, const V8& lo, const V8& hi) {
  return {clamped(a.x, lo.x, hi.x), clamped(a.y, lo.y, hi.y), clamped(a.z, lo.z, hi.z)};
}

/// Points number i[0], i[stride], i[2 * stride] ... of an array of three floats each; the first `count` are asked for,
/// the rest repeat the last.
inline V8 gathered(const float* points, const std::uint32_t* i, int stride, int count) {
#if defined(__SSE2__)
  __m128 p[8];
  for (int lane = 0; lane < 8; ++lane) {
    const float* at = points + 3 * static_cast<std::size_t>(i[stride * (lane < count ? lane : count - 1)]);
    p[lane] = _mm_movelh_ps(_mm_loadl_pi(_mm_setzero_ps(), reinterpret_cast<const __m64*>(at)), _mm_load_ss(at + 2));
  }
  _MM_TRANSPOSE4_PS(p[0], p[1], p[2], p[3]);
  _MM_TRANSPOSE4_PS(p[4], p[5], p[6], p[7]);
#if defined(__AVX2__) && defined(__FMA__)
  return {{_mm256_set_m128(p[4], p[0])}, {_mm256_set_m128(p[5], p[1])}, {_mm256_set_m128(p[6], p[2])}};
#else
  return {{p[0], p[4]}, {p[1], p[5]}, {p[2], p[6]}};
#endif
#else
  V8 out;
  for (int lane = 0; lane < 8; ++lane) {
    const float* at = points + 3 * static_cast<std::size_t>(i[stride * (lane < count ? lane : count - 1)]);
    out.x.v[lane] = at[0];
    out.y.v[lane] = at[1];
    out.z.v[lane] = at[2];
  }
  return out;
#endif
}

}  // namespace baywright::BAYWRIGHT_KERNEL_NAMESPACE
