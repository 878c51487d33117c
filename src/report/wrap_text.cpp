#include <algorithm>

#include "trammel/report/pdf_canvas.hpp"
#include "trammel/report/utf8.hpp"

namespace trammel {
namespace {

constexpr const char* kEllipsis = "\u2026";

/// How many code points from the start fit into the width; at least one.
std::size_t fitting(const PdfCanvas& canvas, const std::u32string& codes, const TextStyle& style,
                    double width) {
  std::size_t fits = 1, fails = codes.size() + 1;
  while (fails - fits > 1) {
    const std::size_t middle = (fits + fails) / 2;
    if (canvas.text_width(utf8_of(codes.substr(0, middle)), style) <= width) {
      fits = middle;
    } else {
      fails = middle;
    }
  }
  return fits;
}

/// How much of the text goes on one line: up to the last blank that fits, else as much as fits.
std::size_t line_length(const PdfCanvas& canvas, const std::u32string& codes,
                        const TextStyle& style, double width) {
  const std::size_t fits = fitting(canvas, codes, style, width);
  if (fits >= codes.size()) return codes.size();
  if (codes[fits] == U' ') return fits;
  const std::size_t blank = codes.rfind(U' ', fits - 1);
  return blank == std::u32string::npos || blank == 0 ? fits : blank;
}

}  // namespace

std::vector<std::string> wrapped(const PdfCanvas& canvas, const std::string& words,
                                 const TextStyle& style, double width, std::size_t most_lines) {
  std::u32string rest = codes_of(words);
  std::vector<std::string> lines;
  while (lines.size() + 1 < most_lines) {
    const std::size_t length = rest.empty() ? 0 : line_length(canvas, rest, style, width);
    if (length >= rest.size()) break;
    lines.push_back(utf8_of(rest.substr(0, length)));
    rest.erase(0, length);
    rest.erase(0, std::min(rest.find_first_not_of(U' '), rest.size()));
  }
  lines.push_back(shortened(canvas, utf8_of(rest), style, width));
  return lines;
}

std::string shortened_name(const PdfCanvas& canvas, const std::string& name, const TextStyle& style,
                           double width) {
  if (canvas.text_width(name, style) <= width) return name;
  std::u32string rest = codes_of(name);
  std::u32string start, end;
  const auto whole = [&] { return utf8_of(start) + kEllipsis + utf8_of(end); };
  // One from the start, one from the end, until no more fits.
  while (rest.size() > 1) {
    const std::u32string start_before = start, end_before = end;
    const bool from_start = start.size() <= end.size();
    if (from_start) {
      start += rest.front();
      rest.erase(0, 1);
    } else {
      end.insert(0, 1, rest.back());
      rest.pop_back();
    }
    if (canvas.text_width(whole(), style) <= width) continue;
    start = start_before;
    end = end_before;
    break;
  }
  return whole();
}

std::string shortened(const PdfCanvas& canvas, const std::string& words, const TextStyle& style,
                      double width) {
  if (canvas.text_width(words, style) <= width) return words;
  const std::u32string codes = codes_of(words);
  const double room = width - canvas.text_width(kEllipsis, style);
  std::u32string start = codes.substr(0, fitting(canvas, codes, style, room));
  while (start.size() > 1 && start.back() == U' ')
    start.pop_back();
  return utf8_of(start) + kEllipsis;
}

}  // namespace trammel
