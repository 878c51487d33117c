#include "trammel/report/overview_trend.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/html_text.hpp"

namespace trammel {
namespace {

constexpr double kWidth = 1000.0, kHeight = 300.0;
constexpr double kLeft = 96.0, kRight = 984.0, kTop = 14.0, kBottom = 272.0;
constexpr double kLeastShown = 1.4;   ///< shares of the limit, so that the limits are seen
constexpr double kMostShown = 5.0;    ///< beyond, an arrow at the border
constexpr std::size_t kNumbers = 25;  ///< at most so many scans are numbered under the drawing

/// What is drawn of one scan in one line: how far of its limit, and in words.
struct Point {
  bool known = false;
  double share = 0.0;  ///< signed: shy is below
  std::string words;
};

using PointOf = std::function<Point(const OverviewEntry&)>;

double share_of(double value, double limit) {
  if (limit > 0.0) return value / limit;
  return value == 0.0 ? 0.0 : std::copysign(2.0 * kMostShown, value);
}

Point reading_point(const NearestReading& reading, const OverviewEntry& entry) {
  if (!reading.found) return {};
  return {true, share_of(reading.deviation_mm, reading.limit_mm),
          signed_fixed(reading.deviation_mm, entry.decimals) + " of " +
              fixed(reading.limit_mm, std::max(2, entry.decimals)) + " mm allowed"};
}

Point hole_point(const OverviewEntry& entry) {
  if (!entry.hole) return {};
  return {true, share_of(entry.hole->position_mm, entry.hole->allowed_mm),
          named("hole", entry.hole->name) + ", position " +
              fixed(entry.hole->position_mm, entry.decimals) + " of " +
              fixed(entry.hole->allowed_mm, std::max(2, entry.decimals)) + " mm allowed"};
}

/// The drawing in the making.
class Trend {
 public:
  explicit Trend(const Overview& overview) : overview_(overview) {
    for (const OverviewEntry& entry : overview.entries) {
      for (const Point& point : {reading_point(entry.proud, entry), hole_point(entry)})
        if (point.known) above_ = std::max(above_, 1.12 * std::abs(point.share));
      const Point shy = reading_point(entry.shy, entry);
      if (shy.known) below_ = std::max(below_, 1.12 * std::abs(shy.share));
    }
    above_ = std::min(above_, kMostShown);
    below_ = std::min(below_, kMostShown);
  }

  std::string svg();

 private:
  [[nodiscard]] double x_of(std::size_t scan) const {
    const auto count = static_cast<double>(overview_.entries.size());
    return kLeft + (kRight - kLeft) * (static_cast<double>(scan) + 0.5) / count;
  }
  [[nodiscard]] double y_of(double share) const {
    const double shown = std::clamp(share, -below_, above_);
    return kTop + (kBottom - kTop) * (above_ - shown) / (above_ + below_);
  }
  void add_limits();
  void add_numbers();
  void add_crosses();
  void add_line(const std::string& name, const PointOf& point_of);
  void add_mark(const std::string& name, std::size_t scan, const Point& point);
  [[nodiscard]] std::string open_link(std::size_t scan, const std::string& words) const;

  const Overview& overview_;
  double above_ = kLeastShown, below_ = kLeastShown;
  std::string svg_;
};

std::string at(double x, double y) {
  return fixed(x, 1) + " " + fixed(y, 1);
}

std::string text_at(double x, double y, const char* anchor, const std::string& words) {
  return "<text x=\"" + fixed(x, 1) + "\" y=\"" + fixed(y, 1) + "\" text-anchor=\"" + anchor +
         "\">" + html_escaped(words) + "</text>\n";
}

/// Disc, octagon or diamond, as the verdict's own mark, or an arrow where it lies beyond.
std::string shape_of(const OverviewEntry& entry, double x, double y, double beyond) {
  const std::string tone = outcome_name(entry.outcome.value_or(Outcome::Undecided));
  std::string path;
  if (beyond != 0.0) {
    path = beyond > 0.0 ? "l8 12h-16z" : "l8-12h-16z";
  } else if (entry.outcome == Outcome::Pass) {
    path = "m-5 0a5 5 0 1 0 10 0a5 5 0 1 0-10 0z";
  } else if (entry.outcome == Outcome::Fail) {
    path = "m-2.7-6.5h5.4l3.8 3.8v5.4l-3.8 3.8h-5.4l-3.8-3.8v-5.4z";
  } else {
    path = "m0-7l7 7l-7 7l-7-7z";
  }
  return "<path class=\"" + tone + "\" d=\"M" + at(x, y) + path + "\"/>";
}

void Trend::add_limits() {
  const std::string left = fixed(kLeft, 0), right = fixed(kRight, 0);
  svg_ += "<rect class=\"inside\" x=\"" + left + "\" y=\"" + fixed(y_of(1.0), 1) + "\" width=\"" +
          fixed(kRight - kLeft, 0) + "\" height=\"" + fixed(y_of(-1.0) - y_of(1.0), 1) + "\"/>\n";
  for (const double share : {1.0, 0.0, -1.0}) {
    svg_ += std::string("<path class=\"") + (share == 0.0 ? "zero" : "limit") + "\" d=\"M" + left +
            " " + fixed(y_of(share), 1) + "H" + right + "\"/>\n";
  }
  svg_ += text_at(kLeft - 8.0, y_of(1.0) + 4.0, "end", "limit");
  svg_ += text_at(kLeft - 8.0, y_of(0.0) + 4.0, "end", "as drawn");
  svg_ += text_at(kLeft - 8.0, y_of(-1.0) + 4.0, "end", "limit");
  svg_ += text_at(kLeft + 6.0, kTop + 11.0, "start", "proud");
  svg_ += text_at(kLeft + 6.0, kBottom - 3.0, "start", "shy");
}

void Trend::add_numbers() {
  const std::size_t count = overview_.entries.size();
  const std::size_t every = (count + kNumbers - 1) / kNumbers;
  for (std::size_t i = 0; i < count; i += every)
    svg_ += text_at(x_of(i), kHeight - 8.0, "middle", std::to_string(i + 1));
}

std::string Trend::open_link(std::size_t scan, const std::string& words) const {
  const OverviewEntry& entry = overview_.entries[scan];
  const std::string number = std::to_string(scan + 1);
  return "<a href=\"#scan-" + number + "\"><title>" +
         html_escaped(number + ", " + entry.scan + ": " + words) + "</title>";
}

void Trend::add_crosses() {
  for (std::size_t i = 0; i < overview_.entries.size(); ++i) {
    const OverviewEntry& entry = overview_.entries[i];
    if (entry.proud.found || entry.shy.found) continue;
    const char* const why = entry.state == ScanState::Checked   ? "no reading that can be trusted"
                            : entry.state == ScanState::Stopped ? "could not be checked"
                                                                : "not checked yet";
    svg_ += open_link(i, why) + "<path class=\"cross\" d=\"M" + at(x_of(i), y_of(0.0)) +
            "m-6-6l12 12m0-12l-12 12\"/></a>\n";
  }
}

void Trend::add_mark(const std::string& name, std::size_t scan, const Point& point) {
  const double x = x_of(scan), y = y_of(point.share);
  const double beyond = point.share > above_ ? 1.0 : point.share < -below_ ? -1.0 : 0.0;
  const std::string far = beyond != 0.0 ? ", beyond what is drawn" : "";
  svg_ += open_link(scan, point.words + far);
  svg_ += name == "hole" ? "<circle class=\"ring\" cx=\"" + fixed(x, 1) + "\" cy=\"" + fixed(y, 1) +
                               "\" r=\"6.5\"/>"
                         : shape_of(overview_.entries[scan], x, y, beyond);
  svg_ += "</a>\n";
}

void Trend::add_line(const std::string& name, const PointOf& point_of) {
  std::string path, marks;
  bool joined = false;
  for (std::size_t i = 0; i < overview_.entries.size(); ++i) {
    const Point point = point_of(overview_.entries[i]);
    if (point.known) path += (joined ? "L" : "M") + at(x_of(i), y_of(point.share));
    joined = point.known;
  }
  if (path.empty()) return;
  svg_ += "<path class=\"line " + name + "\" d=\"" + path + "\"/>\n";
  for (std::size_t i = 0; i < overview_.entries.size(); ++i) {
    const Point point = point_of(overview_.entries[i]);
    if (point.known) add_mark(name, i, point);
  }
}

std::string Trend::svg() {
  svg_ = "<svg viewBox=\"0 0 " + fixed(kWidth, 0) + " " + fixed(kHeight, 0) +
         "\" role=\"img\" aria-label=\"Worst readings over the scans, as shares of their "
         "limits\">\n";
  add_limits();
  add_numbers();
  add_line("hole", hole_point);
  add_line("proud", [](const OverviewEntry& entry) { return reading_point(entry.proud, entry); });
  add_line("shy", [](const OverviewEntry& entry) { return reading_point(entry.shy, entry); });
  add_crosses();
  return svg_ + "</svg>\n";
}

}  // namespace

std::string trend_svg(const Overview& overview) {
  const auto checked =
      std::count_if(overview.entries.begin(), overview.entries.end(),
                    [](const OverviewEntry& entry) { return entry.state == ScanState::Checked; });
  return checked < 2 ? std::string() : Trend(overview).svg();
}

}  // namespace trammel
