#include <algorithm>
#include <cctype>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "face_list.hpp"
#include "text_source.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

/// Unit length as files round it: three decimals leave less than 2e-3.
constexpr double kUnitLengthError = 5e-3;
constexpr std::size_t kColumns = 6;  ///< x y z, and a normal

/// How numbers are set apart, and which sign parts their decimals.
struct Delimiters {
  char between = ' ';  ///< ' ' stands for blanks and tabs
  bool decimal_comma = false;
};

bool is_comment(std::string_view line) {
  return line.empty() || line.front() == '#' || line.substr(0, 2) == "//";
}

bool begins_with_number(std::string_view line) {
  const std::size_t at = line.find_first_not_of("+-.");
  return at != line.npos && (std::isdigit(static_cast<unsigned char>(line[at])) != 0 ||
                             read::equals_ignoring_case(line.substr(at, 3), "nan") ||
                             read::equals_ignoring_case(line.substr(at, 3), "inf"));
}

/// True for "1,5 2,5 3,5", where commas stand inside words only and no full stop is near.
bool has_decimal_commas(std::string_view line) {
  if (line.find('.') != line.npos) return false;
  std::size_t words = 0;
  while (true) {
    const std::string_view word = read::take_word(line);
    if (word.empty()) return words >= 3;
    if (word.front() == ',' || word.back() == ',') return false;
    if (std::count(word.begin(), word.end(), ',') > 1) return false;
    ++words;
  }
}

Delimiters delimiters_of(std::string_view line) {
  if (line.find(';') != line.npos) {
    return {';', line.find(',') != line.npos && line.find('.') == line.npos};
  }
  if (line.find(',') == line.npos) return {};
  if (has_decimal_commas(line)) return {' ', true};
  return {',', false};
}

class XyzParser {
 public:
  XyzParser(std::string_view bytes, const std::string& name)
      : lines_(bytes, name), delimiters_(find_delimiters(lines_)) {}

  RawGeometry parse() {
    while (lines_.next()) {
      const std::string_view line = read::trimmed(lines_.line());
      if (is_comment(line)) continue;
      const std::size_t columns = take_numbers(line);
      if (columns >= 3) {
        add_point(columns);
      } else if (is_count(line)) {
        stated_points_ = values_[0];
      } else if (columns > 0 || !points_.empty() || !take_heading(line)) {
        lines_.fail("expected three or more numbers, found " + read::quoted(line));
      }
    }
    check_count();
    return result();
  }

 private:
  /// From the first lines of numbers: the first that tells commas and semicolons apart decides.
  static Delimiters find_delimiters(read::TextLines lines) {
    constexpr int kLinesToLookAt = 50;
    for (int looked = 0; looked < kLinesToLookAt && lines.next();) {
      const std::string_view line = read::trimmed(lines.line());
      if (is_comment(line) || !begins_with_number(line)) continue;
      ++looked;
      if (line.find_first_of(",;") != line.npos) return delimiters_of(line);
    }
    return {};
  }

  std::string_view take_column(std::string_view& rest) const {
    if (delimiters_.between == ' ') return read::take_word(rest);
    const std::size_t end = std::min(rest.find(delimiters_.between), rest.size());
    const std::string_view word = read::trimmed(rest.substr(0, end));
    rest.remove_prefix(std::min(rest.size(), end + 1));
    return word;
  }

  std::optional<double> number(std::string_view word) {
    if (!delimiters_.decimal_comma) return read::coordinate(word);
    with_stop_.assign(word);
    std::replace(with_stop_.begin(), with_stop_.end(), ',', '.');
    return read::coordinate(with_stop_);
  }

  /// How many of the first six columns are numbers, up to the first that is not.
  std::size_t take_numbers(std::string_view rest) {
    for (std::size_t column = 0; column < kColumns; ++column) {
      const auto value = number(take_column(rest));
      if (!value) return column;
      values_[column] = *value;
    }
    return kColumns;
  }

  /// Words before the points, the names of the columns. Rows of numbers behind a word are none, nor
  /// are many lines: they would be points that nobody read.
  bool take_heading(std::string_view line) {
    constexpr int kMostHeadings = 10;
    std::size_t numbers = 0;
    while (!line.empty())
      numbers += number(take_column(line)) ? 1U : 0U;
    return numbers < 3 && ++headings_ <= kMostHeadings;
  }

  /// The number of points, alone on a line before them.
  [[nodiscard]] bool is_count(std::string_view line) const {
    const auto value = parse_double(line);
    return points_.empty() && stated_points_ < 0.0 && value && *value >= 0.0 &&
           *value == std::floor(*value);
  }

  void add_point(std::size_t columns) {
    if (points_.empty()) first_columns_ = columns;
    if (columns < first_columns_) {
      lines_.fail("expected " + std::to_string(first_columns_) + " numbers as in the first line, " +
                      "found " + std::to_string(columns),
                  "The file may be cut off here; save it again");
    }
    points_.insert(points_.end(), values_, values_ + 3);
    if (!normals_hold_) return;
    const double length = std::hypot(values_[3], values_[4], values_[5]);
    normals_hold_ = columns == kColumns && std::abs(length - 1.0) <= kUnitLengthError;
    if (normals_hold_) normals_.insert(normals_.end(), values_ + 3, values_ + 6);
  }

  void check_count() const {
    if (points_.empty()) {
      lines_.fail("expected lines of three or more numbers, found none",
                  "Give a scan as STL, PLY, OBJ, OFF or text of points");
    }
    const std::size_t found = points_.size() / 3;
    const auto count = static_cast<double>(found);
    if (stated_points_ >= 0 && stated_points_ != count) {
      lines_.fail("expected " + shortest(stated_points_) +
                      " points as the first line states, found " + shortest(count),
                  "The file may be cut off; save it again");
    }
  }

  [[nodiscard]] RawGeometry result() const {
    RawGeometry geometry;
    geometry.format = "text of points";
    geometry.points = read::columns_of(points_);
    if (normals_hold_) geometry.normals = read::columns_of(normals_);
    if (normals_hold_) geometry.notes.emplace_back("columns 4 to 6 were taken as normals");
    if (headings_ > 0)
      geometry.notes.push_back(counted(static_cast<std::size_t>(headings_), "line", "lines") +
                               " of words before the first point");
    if (delimiters_.decimal_comma) geometry.notes.emplace_back("commas were taken as decimal");
    return geometry;
  }

  read::TextLines lines_;
  Delimiters delimiters_;
  std::vector<double> points_, normals_;
  double values_[kColumns] = {};
  std::size_t first_columns_ = 0;
  double stated_points_ = -1.0;
  bool normals_hold_ = true;
  int headings_ = 0;
  std::string with_stop_;
};

}  // namespace

RawGeometry parse_xyz(std::string_view bytes, const std::string& name) {
  return XyzParser(bytes, name).parse();
}

}  // namespace trammel
