#include "trammel/report/brief_names.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "trammel/base/text.hpp"
#include "trammel/report/utf8.hpp"

namespace trammel {
namespace {

constexpr std::size_t kMostLetters = 40;  ///< a line of the front page's narrowest column
constexpr std::size_t kHead = 19, kTail = 20;

std::string brief(const std::u32string& name) {
  return utf8_of(name.substr(0, kHead) + U"\u2026" + name.substr(name.size() - kTail));
}

using Pairs = std::vector<std::pair<std::string, std::string>>;

template <class Results>
void add_long(const Results& results, Pairs& pairs) {
  for (const auto& result : results) {
    const std::u32string name = codes_of(result.name);
    if (name.size() > kMostLetters) pairs.emplace_back(utf8_of(name), brief(name));
  }
}

void replace_all(std::string& text, const std::string& name, const std::string& by) {
  for (std::size_t at = text.find(name); at != std::string::npos;
       at = text.find(name, at + by.size()))
    text.replace(at, name.size(), by);
}

}  // namespace

std::string with_brief_names(const Verdict& verdict, std::string text) {
  Pairs pairs;
  add_long(verdict.holes, pairs);
  add_long(verdict.slots, pairs);
  add_long(verdict.distances, pairs);
  add_long(verdict.forms, pairs);
  // Longest first: one name may begin another.
  std::stable_sort(pairs.begin(), pairs.end(),
                   [](const auto& a, const auto& b) { return a.first.size() > b.first.size(); });
  for (const auto& [name, by] : pairs)
    replace_all(text, name, by);
  return text;
}

}  // namespace trammel
