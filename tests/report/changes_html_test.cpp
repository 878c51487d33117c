#include <gtest/gtest.h>

#include "report/sample_changes.hpp"
#include "trammel/report/changes_sheet.hpp"

namespace trammel {
namespace {

bool has(const std::string& html, const std::string& words) {
  return html.find(words) != std::string::npos;
}

TEST(ChangesHtml, SaysWhatThePdfSaysAndAsksForNothing) {
  const std::string html = changes_html(test::sample_changes());
  EXPECT_TRUE(has(html, "<h1 class=\"changed\">Changed</h1>"));
  EXPECT_TRUE(has(html, "+0.81 mm at its peak"));
  EXPECT_TRUE(has(html, "default-src 'none'"));
  EXPECT_FALSE(has(html, "<script"));
  EXPECT_FALSE(has(html, "http://"));
  EXPECT_FALSE(has(html, "https://"));
  EXPECT_FALSE(has(html, "{{"));
}

TEST(ChangesHtml, EscapesNamesFromFiles) {
  const std::string html = changes_html(test::sample_changes());
  EXPECT_FALSE(has(html, "old <1>.ply"));
  EXPECT_TRUE(has(html, "old &lt;1&gt;.ply"));
  EXPECT_FALSE(has(html, "<tags>"));
}

TEST(ChangesHtml, UndecidedShowsItsReason) {
  const std::string html = changes_html(test::sample_undecided());
  EXPECT_TRUE(has(html, "<h1 class=\"undecided\">Undecided</h1>"));
  EXPECT_TRUE(has(html, "fits as well when it is turned"));
}

}  // namespace
}  // namespace trammel
