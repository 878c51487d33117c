#include "trammel/report/visual_order.hpp"

#include <fribidi/fribidi.h>

#include <algorithm>
#include <vector>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

/// The blocks of Unicode set aside for letters that do, from Hebrew on, and for their shapes.
bool may_run_to_the_left(char32_t code) {
  return (code >= 0x0590 && code <= 0x08FF) || (code >= 0xFB1D && code <= 0xFDFF) ||
         (code >= 0xFE70 && code <= 0xFEFF) || (code >= 0x10800 && code <= 0x1EFFF);
}

}  // namespace

std::u32string in_visual_order(const std::u32string& codes) {
  constexpr char32_t kMark = 0xFEFF;  // left where two letters became one
  if (std::none_of(codes.begin(), codes.end(), may_run_to_the_left)) return codes;
  const std::vector<FriBidiChar> logical(codes.begin(), codes.end());
  std::vector<FriBidiChar> visual(logical.size() + 1);  // it ends in a zero
  FriBidiParType direction = FRIBIDI_PAR_LTR;
  const auto done = fribidi_log2vis(logical.data(), static_cast<FriBidiStrIndex>(logical.size()),
                                    &direction, visual.data(), nullptr, nullptr, nullptr);
  TRAMMEL_CHECK(done != 0, "FriBidi must order a line");
  std::u32string out(visual.begin(), visual.end() - 1);
  out.erase(std::remove(out.begin(), out.end(), kMark), out.end());
  return out;
}

}  // namespace trammel
