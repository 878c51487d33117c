#include "trammel/report/overview_html.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>

#include "report/browser.hpp"
#include "report/pdf_tools.hpp"
#include "report/sample_overview.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/png.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

Overview odd_overview() {
  Overview overview = test::sample_overview();
  const Picture grey{40, 30, std::vector<std::uint8_t>(3 * 40 * 30, 150)};
  for (const std::string& name : test::odd_names()) {
    overview.entries.push_back(test::checked_entry(name, Outcome::Pass, 0.1, -0.1));
    overview.entries.back().picture_png = png_of(grey);
    overview.entries.back().worst = name;
  }
  overview.part = overview.plan = overview.run.command_line = test::odd_names()[0];
  return overview;
}

TEST(OverviewHtml, LinksAreWrittenAsBytesSoThatNoNameIsTakenForAnythingElse) {
  EXPECT_EQ(link_to("bracket-1-sheet/sheet.html"), "./bracket-1-sheet/sheet.html");
  EXPECT_EQ(link_to("http://x"), "./http%3A//x");
  EXPECT_EQ(link_to("a b%41#c?d\"e'f<g&"), "./a%20b%2541%23c%3Fd%22e%27f%3Cg%26");
  EXPECT_EQ(link_to("\xc3\xa9\xff"), "./%C3%A9%FF");
}

TEST(OverviewHtml, HasARowAScanWithItsLinkOrItsError) {
  const std::string html = overview_html(test::sample_overview());
  for (int i = 1; i <= 5; ++i)
    EXPECT_NE(html.find("<tr id=\"scan-" + std::to_string(i) + "\">"), std::string::npos) << i;
  EXPECT_NE(html.find("href=\"./b.ply-sheet/sheet.html\""), std::string::npos);
  EXPECT_EQ(html.find("d.ply-sheet"), std::string::npos) << "no link to a sheet that is not there";
  EXPECT_EQ(html.find("e.ply-sheet"), std::string::npos);
  EXPECT_NE(html.find("d.ply: expected points, found none."), std::string::npos);
  EXPECT_NE(html.find("not checked yet"), std::string::npos);
  EXPECT_NE(html.find("+1.25<small>of 0.50</small>"), std::string::npos);
}

TEST(OverviewHtml, AsksForNothingAndHoldsNoScript) {
  const std::string html = overview_html(odd_overview());
  EXPECT_NE(html.find("default-src 'none'"), std::string::npos);
  EXPECT_EQ(html.find("<script"), std::string::npos);
  EXPECT_EQ(html.find("http://"), std::string::npos);
  EXPECT_EQ(html.find("https://"), std::string::npos);
  EXPECT_NE(html.find("&lt;script&gt;alert(1)"), std::string::npos);
}

TEST(OverviewInBrowser, ShowsOddNamesAsTheyAreAndItsLinksLeadToTheSheets) {
  if (!test::Browser::is_there()) GTEST_SKIP() << "chromium is not installed";
  const test::ScratchFolder scratch;
  const Overview overview = odd_overview();
  std::ofstream(scratch.path() / "overview.html", std::ios::binary) << overview_html(overview);
  test::Browser browser;
  browser.open(scratch.path() / "overview.html");
  browser.resize(1200, 900);
  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
  EXPECT_TRUE(browser.requests().empty()) << browser.requests().front();
  EXPECT_EQ(browser.value_of("document.querySelectorAll('tbody tr').length"), 11);
  const std::string row = "document.querySelectorAll('tbody tr')";
  for (std::size_t i = 0; i < overview.entries.size(); ++i) {
    const OverviewEntry& entry = overview.entries[i];
    const std::string here = row + "[" + std::to_string(i) + "]";
    EXPECT_EQ(browser.value_of(here + ".querySelector('strong').textContent"),
              printable(entry.scan));
    if (entry.state != ScanState::Checked) continue;
    // The address is that of the folder beside the page, byte by byte.
    const std::string wanted = (scratch.path() / entry.folder / "sheet.html").string();
    if (printable(wanted) != wanted) continue;  // no text in a script can hold it
    EXPECT_EQ(browser.value_of("decodeURIComponent(new URL(" + here +
                               ".querySelector('a').href).pathname)"),
              wanted);
  }
  // Nothing sticks out, on a desk and on a phone.
  for (const int width : {1200, 390}) {
    browser.resize(width, 900, width < 600);
    EXPECT_LE(browser.value_of("document.documentElement.scrollWidth"), width);
    if (const char* folder = std::getenv("TRAMMEL_SCREENSHOTS"))
      browser.save_picture(fs::path(folder) / ("overview-" + std::to_string(width) + ".png"));
  }
}

}  // namespace
}  // namespace trammel
