#pragma once

/// Tables and lists that run on over as many pages as they need.

#include <functional>
#include <string>
#include <vector>

#include "trammel/report/sheet_writer.hpp"

namespace trammel {

/// Where the next thing goes; adds pages as they fill up.
class SheetFlow final : public SheetWriter {
 public:
  SheetFlow(PdfCanvas& canvas, const SheetContext& context);
  /// @param page_head  draws over every page it starts; returns the y below it
  SheetFlow(PdfCanvas& canvas, std::function<double(PdfCanvas&)> page_head);

  /// Writes the last of what is on the sheet, its lines a little closer than usual where the last
  /// page would else be nearly empty.
  /// @param write  is called several times and must write the same each time: only the last one
  /// draws
  void fit(const std::function<void(SheetWriter&)>& write);

  /// A heading with its rule; stays together with the first row, fact or figure of what comes next,
  /// and with `following` points of it at least.
  void heading(const std::string& words, double following) override;
  /// Column heads repeat on every page; long cells take several lines, a long name in the first
  /// column stands over its row.
  void table(const std::vector<TableColumn>& columns, const std::vector<TableRow>& rows) override;
  /// Names in the second ink, words wrapped beside them.
  void facts(const std::vector<Fact>& facts) override;
  void paragraph(const std::string& words) override;
  [[nodiscard]] bool is_paper() const override { return true; }
  /// Room for a drawing over the whole width, on the next page where this one is full.
  /// @param draw  is given the y of its upper border
  void figure(double height, const std::function<void(PdfCanvas&, double)>& draw);

 private:
  void start_page();
  /// Writes the heading that waits for it, and leaves room for `height` under it.
  void begin(double height);
  void text(double x, const std::string& words, const TextStyle& style);
  /// A row as it is broken into lines; `name` stands over the whole width above its cells, where
  /// the first column is too narrow for it.
  struct RowLines {
    std::vector<std::string> name;
    std::vector<std::vector<std::string>> cells;
  };
  [[nodiscard]] RowLines lines_of(const std::vector<TableColumn>& columns,
                                  const TableRow& row) const;
  [[nodiscard]] double row_height(const std::vector<TableColumn>& columns,
                                  const RowLines& lines) const;
  void table_head(const std::vector<TableColumn>& columns);
  void table_row(const std::vector<TableColumn>& columns, const TableRow& row);

  PdfCanvas& canvas_;
  std::function<double(PdfCanvas&)> page_head_;
  double top_ = 0.0, y_ = 0.0;  ///< baseline of a page's first line, and of the next one
  double closeness_ = 1.0;      ///< of lines; 1 is usual
  std::string heading_;         ///< that waits for what comes under it; empty: none
  double following_ = 0.0;
  int pages_ = 0;
  bool draws_ = true;
};

}  // namespace trammel
