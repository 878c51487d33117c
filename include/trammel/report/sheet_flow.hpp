#pragma once

/// Tables and lists that run on over as many pages as they need.

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
};

using TableRow = std::vector<TableCell>;

/// Name on the left, words on the right.
struct Fact {
  std::string name, words;
};

/// Where the next thing goes; adds pages as they fill up.
class SheetFlow {
 public:
  SheetFlow(PdfCanvas& canvas, const SheetContext& context);

  /// A heading with its rule; stays together with `following` points of what comes next.
  void heading(const std::string& words, double following);
  /// Column heads repeat on every page; long cells are shortened.
  void table(const std::vector<TableColumn>& columns, const std::vector<TableRow>& rows);
  /// Names in the second ink, words wrapped beside them.
  void facts(const std::vector<Fact>& facts);
  void paragraph(const std::string& words);

 private:
  void start_page();
  void need(double height);
  void table_head(const std::vector<TableColumn>& columns);

  PdfCanvas& canvas_;
  const SheetContext& context_;
  double y_ = 0.0;  ///< baseline of the next line
};

}  // namespace trammel
