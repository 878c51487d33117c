#include "trammel/report/sheet_flow.hpp"

#include <algorithm>

#include "trammel/report/sheet_marks.hpp"

namespace trammel {
namespace {

constexpr double kRowHeight = 12.2;
constexpr double kLineHeight = 11.0;
constexpr double kAfterBlock = 7.5;
constexpr double kNameWidth = 92.0;
constexpr double kCellGap = 6.0;
constexpr std::size_t kMostLines = 8;
constexpr std::size_t kMostLinesOfCell = 6;  ///< beyond it a cell is cut; result.json has all of it
constexpr std::size_t kMostLinesOfName =
    2;  ///< in the first column; a longer one stands over its row
/// Lines may stand so much closer, where that spares a page which would hold less than this.
constexpr double kClosenesses[] = {1.0, 0.96, 0.92, 0.88, 0.85};
constexpr double kLeastFilled = 0.25;
constexpr double kTableWidth = 523.0;  ///< that tables give the widths of their columns for

/// The columns as wide as this paper lets them be.
std::vector<TableColumn> stretched(std::vector<TableColumn> columns, const PdfCanvas& canvas) {
  for (TableColumn& column : columns)
    column.width *= full_width(canvas) / kTableWidth;
  return columns;
}

/// Where words of this anchor stand in a column that begins at x.
double anchored(const TableColumn& column, double x) {
  switch (column.anchor) {
    case Anchor::Start: return x;
    case Anchor::Middle: return x + 0.5 * (column.width - kCellGap);
    case Anchor::End: return x + column.width - kCellGap;
  }
  return x;
}

}  // namespace

SheetFlow::SheetFlow(PdfCanvas& canvas, const SheetContext& context)
    : SheetFlow(canvas, [&context](PdfCanvas& page) { return draw_page_head(page, context); }) {}

SheetFlow::SheetFlow(PdfCanvas& canvas, std::function<double(PdfCanvas&)> page_head)
    : canvas_(canvas), page_head_(std::move(page_head)) {
  start_page();
}

void SheetFlow::start_page() {
  ++pages_;
  if (draws_) {
    canvas_.add_page();
    top_ = page_head_(canvas_) + 18.0;
  }
  y_ = top_;
}

void SheetFlow::fit(const std::function<void(SheetWriter&)>& write) {
  for (const double closeness : kClosenesses) {
    SheetFlow rehearsal = *this;
    rehearsal.draws_ = false;
    rehearsal.closeness_ = closeness;
    write(rehearsal);
    const double filled = (rehearsal.y_ - top_) / (text_bottom(canvas_) - top_);
    if (rehearsal.pages_ == pages_ || filled >= kLeastFilled) {
      closeness_ = closeness;
      break;
    }
  }
  write(*this);
}

void SheetFlow::text(double x, const std::string& words, const TextStyle& style) {
  if (draws_) canvas_.text(x, y_, words, style);
}

void SheetFlow::heading(const std::string& words, double following) {
  heading_ = words;
  following_ = following;
}

void SheetFlow::begin(double height) {
  const double needed = heading_.empty() ? height : 18.0 + std::max(height, following_);
  if (y_ + needed > text_bottom(canvas_)) start_page();
  if (heading_.empty()) return;
  if (draws_) {
    canvas_.bookmark(heading_, y_ - 12.0);
    draw_heading(canvas_, kMargin, y_, heading_);
    canvas_.line(kMargin, y_ + 4.5, text_right(canvas_), y_ + 4.5, {kRule, 0.6});
  }
  y_ += 17.0;
  heading_.clear();
}

void SheetFlow::table_head(const std::vector<TableColumn>& columns) {
  double x = kMargin;
  for (const TableColumn& column : columns) {
    text(anchored(column, x), column.head, {kSmallSize, false, kSecondInk, column.anchor});
    x += column.width;
  }
  y_ += closeness_ * kRowHeight;
}

void SheetFlow::table(const std::vector<TableColumn>& as_told, const std::vector<TableRow>& rows) {
  const std::vector<TableColumn> columns = stretched(as_told, canvas_);
  const double first = rows.empty() ? 0.0 : row_height(columns, lines_of(columns, rows.front()));
  begin(closeness_ * kRowHeight + first);
  table_head(columns);
  for (const TableRow& row : rows)
    table_row(columns, row);
  y_ += closeness_ * kAfterBlock;
}

SheetFlow::RowLines SheetFlow::lines_of(const std::vector<TableColumn>& columns,
                                        const TableRow& row) const {
  RowLines lines;
  for (std::size_t i = 0; i < std::min(columns.size(), row.size()); ++i) {
    const TextStyle style{kBodySize, row[i].bold};
    const double width = columns[i].width - kCellGap;
    lines.cells.push_back(wrapped(canvas_, row[i].words, style, width, kMostLinesOfCell));
    if (i > 0 || lines.cells[0].size() <= kMostLinesOfName) continue;
    lines.name = wrapped(canvas_, row[0].words, style, full_width(canvas_), kMostLines);
    lines.cells[0] = {std::string()};
  }
  return lines;
}

double SheetFlow::row_height(const std::vector<TableColumn>& columns, const RowLines& lines) const {
  std::size_t most = 1;
  for (std::size_t i = 0; i < std::min(columns.size(), lines.cells.size()); ++i)
    most = std::max(most, lines.cells[i].size());
  return closeness_ *
         (kLineHeight * static_cast<double>(lines.name.size() + most - 1) + kRowHeight);
}

void SheetFlow::table_row(const std::vector<TableColumn>& columns, const TableRow& row) {
  const RowLines lines = lines_of(columns, row);
  const double height = row_height(columns, lines);
  if (y_ + height > text_bottom(canvas_)) {
    start_page();
    table_head(columns);
  }
  const double end = y_ + height;
  for (const std::string& line : lines.name) {
    text(kMargin, line, {kBodySize, row[0].bold, row[0].colour});
    y_ += closeness_ * kLineHeight;
  }
  const double first = y_;
  double x = kMargin;
  for (std::size_t i = 0; i < lines.cells.size(); ++i) {
    const TextStyle style{kBodySize, row[i].bold, row[i].colour, columns[i].anchor};
    y_ = first;
    for (const std::string& line : lines.cells[i]) {
      text(anchored(columns[i], x), line, style);
      y_ += closeness_ * kLineHeight;
    }
    x += columns[i].width;
  }
  y_ = end;
}

void SheetFlow::facts(const std::vector<Fact>& facts) {
  const TextStyle style{kBodySize, false, kInk};
  for (const Fact& fact : facts) {
    const std::vector<std::string> lines =
        wrapped(canvas_, fact.words, style, full_width(canvas_) - kNameWidth, kMostLines);
    begin(closeness_ * kLineHeight * static_cast<double>(lines.size()));
    text(kMargin, fact.name, {kBodySize, false, kSecondInk});
    for (const std::string& line : lines) {
      text(kMargin + kNameWidth, line, style);
      y_ += closeness_ * kLineHeight;
    }
    y_ += 1.4;
  }
  y_ += closeness_ * kAfterBlock;
}

void SheetFlow::paragraph(const std::string& words) {
  const TextStyle style{kBodySize, false, kSecondInk};
  const std::vector<std::string> lines =
      wrapped(canvas_, words, style, full_width(canvas_), kMostLines);
  begin(closeness_ * kLineHeight * static_cast<double>(lines.size()));
  for (const std::string& line : lines) {
    text(kMargin, line, style);
    y_ += closeness_ * kLineHeight;
  }
  y_ += closeness_ * kAfterBlock;
}

void SheetFlow::figure(double height, const std::function<void(PdfCanvas&, double)>& draw) {
  constexpr double kAscent = 7.0;  // y_ is a baseline
  begin(height - kAscent);
  if (draws_) draw(canvas_, y_ - kAscent);
  y_ += height;
}

}  // namespace trammel
