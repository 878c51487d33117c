#include "trammel/report/html_writer.hpp"

#include <gtest/gtest.h>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

TEST(HtmlWriter, WritesTablesWithMarksTonesAndAnchors) {
  HtmlWriter writer;
  writer.table({{"no.", 10.0}, {"peak", 10.0, Anchor::End}},
               {{{"1", kInk, true, "region-1"}, {"<2>", verdict_colour(Outcome::Fail)}}});
  const std::string& html = writer.html();
  EXPECT_NE(html.find("<tr data-mark=\"region-1\"><td class=\" bold\"><button type=\"button\">1"),
            html.npos)
      << html;
  EXPECT_NE(html.find("<td class=\"fail end\">&lt;2&gt;</td>"), html.npos) << html;
}

TEST(HtmlWriter, EscapesHeadingsFactsAndParagraphs) {
  HtmlWriter writer;
  writer.heading("a & b", 0.0);
  writer.facts({{"<n>", "<w>"}});
  writer.paragraph("<p>");
  EXPECT_EQ(writer.html(),
            "<h2>a &amp; b</h2>\n<dl class=\"facts\">\n<dt>&lt;n&gt;</dt><dd>&lt;w&gt;</dd>\n"
            "</dl>\n<p class=\"second\">&lt;p&gt;</p>\n");
}

TEST(Filled, PutsValuesInOnceAndDoesNotLookIntoThem) {
  EXPECT_EQ(filled("<{{a}}|{{b}}|{{a}}>", {{"a", "{{b}}"}, {"b", "x"}}), "<{{b}}|x|{{b}}>");
  EXPECT_THROW((void)filled("{{c}}", {{"a", ""}}), Error);
  EXPECT_THROW((void)filled("{{c", {{"c", ""}}), Error);
}

TEST(PagePolicy, LetsNoScriptInThatIsNotNamed) {
  EXPECT_EQ(page_policy(),
            "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
            "form-action 'none'");
  EXPECT_EQ(page_policy("script-src 'sha256-x'").rfind("default-src 'none'; script-src", 0), 0U);
}

}  // namespace
}  // namespace trammel
