/// sheet.html as text, and as a real browser has it.

#include "trammel/report/sheet_html.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <regex>

#include "report/browser.hpp"
#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "report/sheet_in_browser.hpp"
#include "support/long_run.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;
using test::comes_true;
using test::keep_picture;
using test::SheetInBrowser;

std::string count_of_tag(const std::string& html, const std::string& tag) {
  std::size_t count = 0;
  for (std::size_t at = html.find(tag); at != html.npos; at = html.find(tag, at + 1))
    ++count;
  return std::to_string(count);
}

/// Names that would break a page that trusts them.
Inspection nasty_inspection() {
  Inspection inspection = test::failing_inspection(5.0);
  const std::string nasty =
      "<script>document.title='owned'</script>\"'&</title> \U0001F527 \xff" + std::string(300, 'w');
  inspection.plan.title = nasty;
  inspection.plan.file = nasty + ".toml";
  inspection.source.file = "]]>--><img src=x onerror=alert(1)>" + nasty;
  inspection.design.file = nasty;
  inspection.run.command_line = nasty;
  inspection.notes = {nasty};
  inspection.verdict.holes[1].name = inspection.plan.holes[1].name = nasty;
  inspection.verdict.regions[0].zone = nasty;
  inspection.plan.zones.push_back({nasty, BoxShape{{0, 0, 0}, {1, 1, 1}}, {0.2, 0.2}});
  return inspection;
}

TEST(SheetHtml, SaysWhatThePdfSaysInThatOrder) {
  const std::string html = sheet_html(test::failing_inspection(3.0));
  std::size_t last = 0;
  for (const char* words :
       {"Fail</h1>", "stand outside", "Toolbox bracket, left", "What is wrong", "What to do",
        "Bend the upright back", "May it be believed", "How far, how much",
        "Places outside the band", "Holes", "How the scan was set onto the design", "ISO 14253-1",
        "about shape only"}) {
    const std::size_t at = html.find(words, last);
    EXPECT_NE(at, html.npos) << words << " is missing or too early";
    if (at != html.npos) last = at;
  }
}

TEST(SheetHtml, IsUnderTenMegabytesAndAsksForNothingOutside) {
  const std::string html = sheet_html(test::passing_inspection(0.5));
  EXPECT_LT(html.size(), 10'000'000u);
  EXPECT_NE(html.find("default-src 'none'; script-src 'sha256-"), html.npos);
  const std::string before_scripts = html.substr(0, html.find("id=\"facts\""));
  EXPECT_FALSE(std::regex_search(before_scripts, std::regex("(src|href)=\"(?!data:)")));
  EXPECT_EQ(html.find("@import"), html.npos);
}

TEST(SheetHtml, HoldsNamesAsTextWhateverTheyAre) {
  const Inspection inspection = nasty_inspection();
  const std::string html = sheet_html(inspection),
                    plain = sheet_html(test::failing_inspection(5.0));
  for (const char* tag : {"<script", "</script", "<img", "<title", "</title"})
    EXPECT_EQ(count_of_tag(html, tag), count_of_tag(plain, tag)) << tag;
  EXPECT_NE(html.find("&lt;script&gt;document.title=&#39;owned&#39;"), html.npos);
  EXPECT_NE(html.find("\U0001F527 \uFFFDwww"), html.npos);
}

TEST(SheetHtml, IsTheSameForTheSameInspection) {
  EXPECT_TRUE(sheet_html(test::failing_inspection(6.0)) ==
              sheet_html(test::failing_inspection(6.0)));
}

/// The part leans, and its bolts do not go in until hole B is opened.
Inspection flawed_inspection(double cell_edge_mm) {
  Inspection inspection = test::failing_inspection(cell_edge_mm);
  Flaw flaw;
  flaw.share = 0.88;
  flaw.words = "The upright leans 1.50\u00b0: 1.20 mm towards +X at its end";
  flaw.action = "Bend it back";
  flaw.center_mm = {0.0, 30.0, 50.0};
  flaw.normal = -Eigen::Vector3d::UnitX();
  inspection.verdict.flaws = {flaw};
  BoltUp up;
  up.outcome = Outcome::Fail;
  up.play_mm = -0.51;
  up.uncertainty_mm = 0.11;
  up.openings = {{"B", 9.6, 0.6, Eigen::Vector3d::UnitY()}};
  inspection.verdict.bolt_ups = {up};
  return inspection;
}

TEST_F(SheetInBrowser, LinksRegionsReadsCellsAndRedrawsTheBand) {
  const Inspection inspection = flawed_inspection(3.0);
  const fs::path file = write(inspection);
  test::Browser browser;
  browser.resize(1000, 1000);
  browser.open(file);
  ASSERT_TRUE(comes_true(browser, "window.trammel && trammel.ready"));
  keep_picture(browser, "desk");

  // Every cell's reading is the cell's deviation, to half a unit of the page's 32000.
  const Json readings = browser.value_of(
      "Array.from({length: trammel.cells}, (_, c) => isNaN(trammel.reading(c)) ? null : "
      "trammel.reading(c))");
  const auto& deviation = inspection.surface.readings.deviation_mm;
  ASSERT_EQ(readings.size(), static_cast<std::size_t>(deviation.size()));
  for (Eigen::Index c = 0; c < deviation.size(); ++c) {
    const Json& reading = readings[static_cast<std::size_t>(c)];
    ASSERT_EQ(reading.is_null(), std::isnan(deviation[c])) << c;
    // 1.2 mm / 32000 / 2 = 0.00002; single precision adds 6e-8.
    if (reading.is_null()) continue;
    ASSERT_NEAR(reading.get<double>(), deviation[c], 3e-5) << c;
  }

  // A row of the table turns the part to its region and marks all that is about it.
  browser.value_of("document.querySelector('tr[data-mark=\"region-1\"] button').click()");
  EXPECT_EQ(browser.value_of("trammel.chosen()"), "region-1");
  EXPECT_EQ(browser.value_of("document.querySelector('tr[data-mark=\"region-1\"]').className"),
            "chosen");

  // The region's place, clicked with the pointer, reads its cell and chooses it again.
  browser.value_of("window.scrollTo(0, 0)");
  const Region& region = inspection.verdict.regions[0];
  const auto [x, y] = in_window(browser, region.center_mm);
  browser.value_of("document.getElementById('picture').focus()");
  browser.press("Escape");
  EXPECT_EQ(browser.value_of("trammel.chosen()"), "");
  browser.click(x, y);
  EXPECT_TRUE(comes_true(browser, "trammel.chosen() === 'region-1'"));
  const Json hit = browser.value_of(
      "(() => { const box = document.getElementById('picture').getBoundingClientRect(); const hit "
      "= "
      "trammel.pick(" +
      std::to_string(x) + " - box.left, " + std::to_string(y) +
      " - box.top); return [hit.cell, hit.point.x, hit.point.y, hit.point.z]; })()");
  const Eigen::Vector3d point(hit[1].get<double>(), hit[2].get<double>(), hit[3].get<double>());
  // A pixel here is under 0.2 mm, along a face that leans away by 60° at most.
  EXPECT_LT((point - region.center_mm).norm(), 0.5);
  const auto cell = hit[0].get<Eigen::Index>();
  EXPECT_EQ(inspection.surface.region[cell], 1);
  const std::string held = browser.value_of("document.getElementById('held').textContent");
  EXPECT_NE(held.find("mm proud"), held.npos) << held;
  EXPECT_NE(held.find("region 1"), held.npos) << held;
  keep_picture(browser, "chosen");

  // What went wrong and the hole to be opened are gone to from words of their own.
  browser.value_of("document.querySelector('.whole [data-mark=\"flaw-0\"]').click()");
  EXPECT_EQ(browser.value_of("trammel.chosen()"), "flaw-0");
  const std::string why = browser.value_of("document.getElementById('held').textContent");
  EXPECT_EQ(why,
            "What went wrong: The upright leans 1.50\u00b0: 1.20 mm towards +X at its end. Bend it "
            "back");
  browser.value_of("document.querySelector('.whole [data-mark=\"hole-1\"]').click()");
  EXPECT_EQ(browser.value_of("trammel.chosen()"), "hole-1");
  keep_picture(browser, "whole");

  // The band slider recolours and says whose verdict it is.
  const std::string before =
      browser.value_of("document.querySelector('#bars rect:last-child').outerHTML");
  browser.value_of(
      "(() => { const slider = document.getElementById('band-over'); slider.value = 2.5; "
      "slider.dispatchEvent(new Event('input')); })()");
  EXPECT_NE(browser.value_of("document.querySelector('#bars rect:last-child').outerHTML"), before);
  const std::string told = browser.value_of("document.getElementById('band-words').textContent");
  EXPECT_NE(told.find("The verdict above is the plan's"), told.npos) << told;
  EXPECT_NE(told.find("+1.25"), told.npos) << told;
  keep_picture(browser, "band");

  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
  EXPECT_TRUE(browser.requests().empty()) << browser.requests().front();
}

TEST_F(SheetInBrowser, CutsMeasuresAndFollowsKeys) {
  const Inspection inspection = test::failing_inspection(3.0);
  const fs::path file = write(inspection);
  test::Browser browser;
  browser.resize(1000, 800);
  browser.open(file);
  ASSERT_TRUE(comes_true(browser, "window.trammel && trammel.ready"));
  // Both points on the base, 30 mm apart along X, where the deviation is a ripple of 0.015 mm.
  browser.value_of("document.getElementById('measure').click()");
  for (const double across : {50.0, 80.0}) {
    const auto [x, y] = in_window(browser, {across, 20.0, 3.0});
    browser.click(x, y);
  }
  ASSERT_TRUE(
      comes_true(browser, "document.getElementById('held').textContent.startsWith('Between')"));
  const std::string words = browser.value_of("document.getElementById('held').textContent");
  std::smatch found;
  ASSERT_TRUE(std::regex_search(words, found, std::regex("points: ([0-9.]+) mm as designed")))
      << words;
  // Two clicks, each within a pixel of some 0.15 mm.
  EXPECT_NEAR(std::stod(found[1]), 30.0, 0.5) << words;
  keep_picture(browser, "measured");

  // Cut at the middle of Y, the near half goes and other cells lie under the pointer.
  const std::string look =
      "(() => { const c = document.getElementById('picture'); const hit = "
      "trammel.pick(c.clientWidth "
      "/ 2, c.clientHeight / 2); return hit ? hit.cell : -1; })()";
  const Json whole = browser.value_of(look);
  browser.value_of(
      "(() => { const cut = document.getElementById('cut-axis'); cut.value = 'Z'; "
      "cut.dispatchEvent(new Event('input')); document.getElementById('cut-place').value = 20; "
      "document.getElementById('cut-place').dispatchEvent(new Event('input')); })()");
  EXPECT_NE(browser.value_of(look), whole);
  keep_picture(browser, "cut");

  const Json here = browser.value_of("trammel.place([90, 0, 0]).x");
  browser.value_of("document.getElementById('picture').focus()");
  browser.press("ArrowLeft");
  // The page hears of the key when it comes to it.
  EXPECT_TRUE(
      comes_true(browser, "Math.abs(trammel.place([90, 0, 0]).x - (" + here.dump() + ")) > 5"));
  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
}

TEST_F(SheetInBrowser, AWallHidesTheBalloonOfWhatLiesBehindIt) {
  const Inspection inspection = test::failing_inspection(3.0);
  const Region* dent = nullptr;  // on the base, behind the upright for a viewer at -X
  const Region* front = nullptr;
  for (const Region& region : inspection.verdict.regions) {
    if (region.normal.z() > 0.9) dent = &region;
    if (region.normal.x() < -0.9) front = &region;
  }
  ASSERT_TRUE(dent != nullptr && front != nullptr);
  // Its face is turned towards that viewer: only the upright keeps it from being seen.
  const Eigen::Vector3d viewer = Eigen::Vector3d(-1.0, 0.0, 0.35).normalized();
  ASSERT_GT(dent->normal.dot(viewer), 0.3);
  test::Browser browser;
  browser.resize(1000, 800);
  browser.open(write(inspection));
  ASSERT_TRUE(comes_true(browser, "window.trammel && trammel.ready"));
  const auto is_shown = [](const Region& region) {
    return "!document.querySelector('#balloons [data-mark=\"region-" + std::to_string(region.id) +
           "\"]').hidden";
  };
  browser.value_of("trammel.look([-1, 0, 0.35])");
  EXPECT_TRUE(comes_true(browser, "!(" + is_shown(*dent) + ") && " + is_shown(*front)));
  keep_picture(browser, "behind");
  // The table still finds it, and from straight above there it is.
  browser.value_of("document.querySelector('tr[data-mark=\"region-" + std::to_string(dent->id) +
                   "\"] button').click()");
  EXPECT_TRUE(comes_true(browser, is_shown(*dent)));
  browser.value_of("trammel.look([0, 0, 1])");
  EXPECT_TRUE(comes_true(browser, is_shown(*dent)));
  browser.value_of("trammel.look([0, 0, -1])");
  EXPECT_TRUE(comes_true(browser, "!(" + is_shown(*dent) + ")"));
  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
}

// With the part drawn large, balloons stood on their own hole; with long names, on the part's
// corner.
TEST_F(SheetInBrowser, BalloonsCoverNothingThatIsPointedAtHoweverLargeThePart) {
  Inspection inspection = test::failing_inspection(2.0);
  const std::string name = "Hole for the bolt of the lower strut, number ";
  for (std::size_t i = 0; i < inspection.verdict.holes.size(); ++i)
    inspection.verdict.holes[i].name = inspection.plan.holes[i].name = name + std::to_string(i);
  test::Browser browser;
  browser.resize(700, 600);
  ASSERT_TRUE(opened(browser, inspection));
  const std::string alike =
      "(() => { const all = [...document.querySelectorAll('#balloons button')].map((b) => "
      "b.textContent); return all.length - new Set(all).size; })()";
  EXPECT_EQ(browser.value_of(alike).get<int>(), 0);
  const std::string covered =
      "[...document.querySelectorAll('#balloons button')].filter((b) => !b.hidden).reduce((n, b) "
      "=> "
      "{ const box = b.getBoundingClientRect(); return n + "
      "[...document.querySelectorAll('.leader-end')].filter((dot) => { const at = "
      "dot.getBoundingClientRect(); return at.right > box.left && at.left < box.right && at.bottom "
      "> "
      "box.top && at.top < box.bottom; }).length; }, 0)";
  int shown = 0;
  for (const char* way : test::some_of<const char*>(
           {"[1, -1, 1]", "[-1, -0.4, 0.6]", "[0.2, 1, 0.8]", "[0, 0, 1]"}, 2)) {
    browser.value_of(std::string("trammel.look(") + way + ")");
    for (int times = 0; times < 6; ++times) {
      EXPECT_TRUE(comes_true(browser, covered + " === 0"))
          << way << ", " << times << " times nearer";
      shown += browser.value_of("document.querySelectorAll('.leader-end').length").get<int>();
      browser.value_of("document.getElementById('picture').focus()");
      browser.press("+");
    }
  }
  EXPECT_GT(shown, test::rounds(12, 24));  // they moved aside, most of them
  keep_picture(browser, "near");
  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
}

TEST_F(SheetInBrowser, FitsAPhoneTheDarkAndPaperWithNastyNames) {
  const fs::path file = write(nasty_inspection());
  test::Browser browser;
  browser.resize(360, 740, true);
  browser.prefer("", "dark");
  browser.open(file);
  ASSERT_TRUE(comes_true(browser, "window.trammel && trammel.ready"));
  EXPECT_LE(browser.value_of("document.documentElement.scrollWidth").get<int>(), 360);
  EXPECT_EQ(browser.value_of("getComputedStyle(document.body).backgroundColor"), "rgb(23, 25, 27)");
  const std::string title = browser.value_of("document.title");
  EXPECT_EQ(title.rfind("<script>document.title='owned'</script>", 0), 0u) << title;
  keep_picture(browser, "phone-dark");
  browser.value_of("document.getElementById('stage').scrollIntoView()");
  keep_picture(browser, "phone-stage");
  browser.resize(800, 1100);
  browser.prefer("print", "light");
  EXPECT_EQ(browser.value_of("getComputedStyle(document.getElementById('views')).display"), "none");
  EXPECT_LE(browser.value_of("document.documentElement.scrollWidth").get<int>(), 800);
  keep_picture(browser, "print");
  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
}

TEST_F(SheetInBrowser, WithoutWebGlStillShowsVerdictTablesAndAPicture) {
  const fs::path file = write(test::undecided_inspection(4.0));
  test::Browser browser({"--disable-3d-apis"});
  browser.resize(1200, 900);
  browser.open(file);
  EXPECT_TRUE(browser.value_of("document.getElementById('picture').hidden").get<bool>());
  const std::string still = "document.querySelector('#still image').getBoundingClientRect()";
  EXPECT_GT(browser.value_of(still + ".width").get<double>(), 100.0);
  EXPECT_GT(browser.value_of("document.querySelectorAll('#still text').length").get<int>(), 0);
  const std::string words = browser.value_of("document.body.innerText");
  for (const char* part : {"Undecided", "has no WebGL", "Scan into hole B", "should be at"})
    EXPECT_NE(words.find(part), words.npos) << part;
  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
  keep_picture(browser, "no-webgl");
}

}  // namespace
}  // namespace trammel
