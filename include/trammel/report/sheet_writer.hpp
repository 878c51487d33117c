#pragma once

/// Tables and lists of a sheet, told once and written to paper or to a page of HTML.

#include <string>
#include <vector>

#include "trammel/report/pdf_canvas.hpp"
#include "trammel/report/sheet_context.hpp"

namespace trammel {

struct TableColumn {
  std::string head;
  double width = 0.0;
  Anchor anchor = Anchor::Start;
};

struct TableCell {
  std::string words;
  Rgb colour = kInk;
  bool bold = false;
  std::string mark{};  ///< what the row is about, as `mark_of` names it; empty for nothing to show
};

using TableRow = std::vector<TableCell>;

/// Name on the left, words on the right.
struct Fact {
  std::string name, words;
};

/// What can be done with a heading, a table, a list.
class SheetWriter {
 public:
  virtual ~SheetWriter() = default;
  /// Stays together with `following` points of what comes next, on paper.
  virtual void heading(const std::string& words, double following) = 0;
  virtual void table(const std::vector<TableColumn>& columns,
                     const std::vector<TableRow>& rows) = 0;
  virtual void facts(const std::vector<Fact>& facts) = 0;
  virtual void paragraph(const std::string& words) = 0;
  /// Whether a long list costs pages: the lesser of what it holds then go without rows.
  [[nodiscard]] virtual bool is_paper() const { return false; }
};

/// Regions, holes, distances, what went wrong, alignment, coverage, uncertainty, origin and notes,
/// in that order.
void write_tables(SheetWriter& writer, const SheetContext& context);

}  // namespace trammel
