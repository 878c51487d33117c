#include "trammel/report/balloon_names.hpp"

#include <algorithm>
#include <map>

#include "trammel/base/text.hpp"
#include "trammel/model/round_kind.hpp"
#include "trammel/report/utf8.hpp"

namespace trammel {
namespace {

constexpr double kRoom =
    10.0;  ///< of a balloon, in letters as wide as an n: beside the picture two
           ///< such columns take a third of a view's width, the part the rest
constexpr double kLeastHead = 2.0;  ///< letters that are left of the beginning
constexpr int kRounds = 4;          ///< of telling apart what still reads alike
constexpr char32_t kDots = U'\u2026';

/// As wide as so many letters n, roughly: names are cut alike on paper and in the page, whatever
/// the font.
double letter_width(char32_t code) {
  static const std::u32string kNarrow = U" .,:;'|!()[]-/Iijlftr";
  static const std::u32string kBroad = U"mwMW@%";
  if (kNarrow.find(code) != std::u32string::npos) return 0.6;
  if (kBroad.find(code) != std::u32string::npos) return 1.45;
  if (code >= 0x1100 && code != kDots) return code >= 0x2000 && code < 0x2E80 ? 1.0 : 1.6;
  return code >= U'A' && code <= U'Z' ? 1.1 : 1.0;
}

double width_of(const std::u32string& codes) {
  double width = 0.0;
  for (const char32_t code : codes)
    width += letter_width(code);
  return width;
}

/// As many letters from the start as fit, without a blank at the end.
std::u32string start_of(const std::u32string& codes, double room) {
  std::u32string start;
  double width = 0.0;
  for (const char32_t code : codes) {
    width += letter_width(code);
    if (width > room) break;
    start += code;
  }
  while (!start.empty() && start.back() == U' ')
    start.pop_back();
  return start;
}

std::u32string end_of(const std::u32string& codes, double room) {
  const std::u32string turned(codes.rbegin(), codes.rend());
  const std::u32string end = start_of(turned, room);
  return {end.rbegin(), end.rend()};
}

/// The last words, as many as leave room for a beginning; of a name without blanks half the room.
std::u32string last_words(const std::u32string& codes) {
  std::u32string words;
  for (std::size_t blank = codes.rfind(U' '); blank != std::u32string::npos && blank > 0;
       blank = codes.rfind(U' ', blank - 1)) {
    const std::u32string more = codes.substr(blank + 1);
    if (width_of(more) > kRoom - 1.0 - kLeastHead) break;
    words = more;
  }
  return words.empty() ? end_of(codes, 0.5 * (kRoom - 1.0)) : words;
}

std::u32string shortened_to_ends(const std::u32string& codes) {
  if (width_of(codes) <= kRoom) return codes;
  const std::u32string end = last_words(codes);
  return start_of(codes, kRoom - 1.0 - width_of(end)) + kDots + end;
}

/// What each of several names has between the beginning and the end that all of them share.
struct Shared {
  std::size_t before = 0, after = 0;
};

Shared shared_by(const std::vector<std::u32string>& names, const std::vector<std::size_t>& group) {
  const std::u32string& first = names[group.front()];
  Shared shared{first.size(), first.size()};
  std::size_t least = first.size();
  for (const std::size_t i : group) {
    const std::u32string& name = names[i];
    least = std::min(least, name.size());
    const auto ahead = std::mismatch(first.begin(), first.end(), name.begin(), name.end());
    const auto behind = std::mismatch(first.rbegin(), first.rend(), name.rbegin(), name.rend());
    shared.before = std::min(shared.before, static_cast<std::size_t>(ahead.first - first.begin()));
    shared.after = std::min(shared.after, static_cast<std::size_t>(behind.first - first.rbegin()));
  }
  shared.after = std::min(shared.after, least - std::min(least, shared.before));
  return shared;
}

/// A beginning, and what is not shared: whole words of it where they fit.
std::u32string shortened_to_difference(const std::u32string& name, const Shared& shared) {
  const double room = kRoom - 2.0 - kLeastHead;
  std::size_t from = shared.before, to = name.size() - shared.after;
  const std::size_t blank = from == 0 ? std::u32string::npos : name.rfind(U' ', from - 1);
  const std::size_t word = blank == std::u32string::npos ? 0 : blank + 1;
  const std::size_t word_end = std::min(name.find(U' ', to), name.size());
  if (width_of(name.substr(word, word_end - word)) <= room) {
    from = word;
    to = word_end;
  }
  const std::u32string kept = start_of(name.substr(from, to - from), room);
  const bool goes_on = from + kept.size() < name.size();
  const double left = kRoom - 1.0 - width_of(kept) - (goes_on ? 1.0 : 0.0);
  const std::u32string head = from == 0 ? std::u32string() : start_of(name.substr(0, from), left);
  return head + (head.size() < from ? std::u32string(1, kDots) : std::u32string()) + kept +
         (goes_on ? std::u32string(1, kDots) : std::u32string());
}

/// Names by what is left of them; those that stand alone are told apart already.
std::vector<std::vector<std::size_t>> alike(const std::vector<std::u32string>& labels) {
  std::map<std::u32string, std::vector<std::size_t>> by_label;
  for (std::size_t i = 0; i < labels.size(); ++i)
    by_label[labels[i]].push_back(i);
  std::vector<std::vector<std::size_t>> groups;
  for (auto& [label, group] : by_label)
    if (group.size() > 1) groups.push_back(std::move(group));
  return groups;
}

/// By their place in the table, where nothing shorter tells them apart.
void number_the_rest(std::vector<std::u32string>& labels) {
  for (const std::vector<std::size_t>& group : alike(labels)) {
    for (const std::size_t i : group) {
      const std::u32string number = codes_of(" #" + std::to_string(i + 1));
      labels[i] = start_of(labels[i], kRoom - width_of(number)) + number;
    }
  }
}

bool is_number(const std::string& name) {
  return !name.empty() && std::all_of(name.begin(), name.end(),
                                      [](unsigned char c) { return c >= '0' && c <= '9'; });
}

std::string told_from_numbers(const std::string& word, const std::string& name) {
  const std::string shown = printable(name);
  return is_number(shown) ? word + " " + shown : shown;
}

}  // namespace

std::vector<std::string> short_names(const std::vector<std::string>& names) {
  std::vector<std::u32string> codes, labels;
  for (const std::string& name : names) {
    codes.push_back(codes_of(name));
    labels.push_back(shortened_to_ends(codes.back()));
  }
  for (int round = 0; round < kRounds; ++round) {
    for (const std::vector<std::size_t>& group : alike(labels)) {
      const Shared shared = shared_by(codes, group);
      for (const std::size_t i : group)
        labels[i] = shortened_to_difference(codes[i], shared);
    }
  }
  number_the_rest(labels);
  std::vector<std::string> out;
  for (const std::u32string& label : labels)
    out.push_back(utf8_of(label));
  return out;
}

double letters_wide(const std::string& text) {
  return width_of(codes_of(text));
}

BalloonNames balloon_names(const Verdict& verdict) {
  std::vector<std::string> names;
  for (const HoleResult& hole : verdict.holes)
    names.push_back(told_from_numbers(round_word(hole.kind), hole.name));
  for (const SlotResult& slot : verdict.slots)
    names.push_back(told_from_numbers("slot", slot.name));
  const std::vector<std::string> labels = short_names(names);
  const auto slots = labels.begin() + static_cast<std::ptrdiff_t>(verdict.holes.size());
  return {{labels.begin(), slots}, {slots, labels.end()}};
}

}  // namespace trammel
