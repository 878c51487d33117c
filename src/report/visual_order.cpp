#include "trammel/report/visual_order.hpp"

#include <fribidi/fribidi.h>

#include <algorithm>
#include <vector>

#include "trammel/base/error.hpp"

namespace trammel {

std::u32string in_visual_order(const std::u32string& codes) {
  constexpr char32_t kFirstToTheLeft = 0x590;  // Hebrew: nothing before it runs to the left
  constexpr char32_t kMark = 0xFEFF;           // left where two letters became one
  if (std::none_of(codes.begin(), codes.end(), [](char32_t c) { return c >= kFirstToTheLeft; }))
    return codes;
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
