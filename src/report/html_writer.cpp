#include "trammel/report/html_writer.hpp"

#include <algorithm>

#include "trammel/base/error.hpp"
#include "trammel/report/html_text.hpp"

namespace trammel {
namespace {

std::string class_of(const TableColumn& column, const TableCell& cell) {
  std::string names = tone_of(cell.colour);
  if (column.anchor == Anchor::End) names += " end";
  if (cell.bold) names += " bold";
  return names.empty() ? "" : " class=\"" + names + "\"";
}

std::string row_html(const std::vector<TableColumn>& columns, const TableRow& row) {
  const std::string mark = row.empty() ? "" : html_escaped(row.front().mark);
  std::string html = mark.empty() ? "<tr>" : "<tr data-mark=\"" + mark + "\">";
  for (std::size_t i = 0; i < std::min(columns.size(), row.size()); ++i) {
    const bool button = i == 0 && !mark.empty();
    html += "<td" + class_of(columns[i], row[i]) + ">" +
            (button ? "<button type=\"button\">" : "") + html_escaped(row[i].words) +
            (button ? "</button>" : "") + "</td>";
  }
  return html + "</tr>\n";
}

}  // namespace

void HtmlWriter::heading(const std::string& words, double /*following*/) {
  html_ += "<h2>" + html_escaped(words) + "</h2>\n";
}

void HtmlWriter::table(const std::vector<TableColumn>& columns, const std::vector<TableRow>& rows) {
  html_ += "<div class=\"wide\"><table>\n<thead><tr>";
  for (const TableColumn& column : columns) {
    const char* end = column.anchor == Anchor::End ? " class=\"end\"" : "";
    html_ += std::string("<th scope=\"col\"") + end + ">" + html_escaped(column.head) + "</th>";
  }
  html_ += "</tr></thead>\n<tbody>\n";
  for (const TableRow& row : rows)
    html_ += row_html(columns, row);
  html_ += "</tbody></table></div>\n";
}

void HtmlWriter::facts(const std::vector<Fact>& facts) {
  html_ += "<dl class=\"facts\">\n";
  for (const Fact& fact : facts) {
    html_ += "<dt>" + html_escaped(fact.name) + "</dt><dd>" + html_escaped(fact.words) + "</dd>\n";
  }
  html_ += "</dl>\n";
}

void HtmlWriter::paragraph(const std::string& words) {
  html_ += "<p class=\"second\">" + html_escaped(words) + "</p>\n";
}

std::string filled(std::string_view page,
                   std::initializer_list<std::pair<std::string_view, std::string_view>> values) {
  std::string out;
  std::size_t size = page.size();
  for (const auto& [name, value] : values)
    size += value.size();
  out.reserve(size);
  for (std::size_t at = page.find("{{"); at != page.npos; at = page.find("{{")) {
    const std::size_t end = page.find("}}", at);
    TRAMMEL_CHECK(end != page.npos, "a name in the page has no end");
    const std::string_view name = page.substr(at + 2, end - at - 2);
    const auto value = std::find_if(values.begin(), values.end(),
                                    [&](const auto& pair) { return pair.first == name; });
    TRAMMEL_CHECK(value != values.end(), "a name in the page has no value");
    out += page.substr(0, at);
    out += value->second;
    page.remove_prefix(end + 2);
  }
  return out.append(page);
}

std::string page_policy(const std::string& scripts) {
  return "default-src 'none'; " + (scripts.empty() ? "" : scripts + "; ") +
         "style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'";
}

}  // namespace trammel
