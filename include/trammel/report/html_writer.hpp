#pragma once

/// Tables and lists of the sheet as HTML.

#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "trammel/report/sheet_writer.hpp"

namespace trammel {

class HtmlWriter final : public SheetWriter {
 public:
  void heading(const std::string& words, double following) override;
  /// A row with a mark can be chosen: its first cell is a button.
  void table(const std::vector<TableColumn>& columns, const std::vector<TableRow>& rows) override;
  void facts(const std::vector<Fact>& facts) override;
  void paragraph(const std::string& words) override;

  [[nodiscard]] const std::string& html() const { return html_; }

 private:
  std::string html_;
};

/// A template with {{names}} replaced by values, which are not looked into again.
/// @throws Error Internal for a name without a value
[[nodiscard]] std::string filled(
    std::string_view page,
    std::initializer_list<std::pair<std::string_view, std::string_view>> values);

/// The Content-Security-Policy of every page: nothing is fetched from anywhere, styles and pictures
/// in the page only, and of scripts those that are named.
/// @param scripts  the directive for them; none: no script runs
[[nodiscard]] std::string page_policy(const std::string& scripts = {});

}  // namespace trammel
