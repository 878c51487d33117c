/// The scan in sheet.html, as a real browser has it: colours, readings, band, cut, measuring, keys.

#include <gtest/gtest.h>

#include <cmath>

#include "report/sample_inspection.hpp"
#include "report/sheet_in_browser.hpp"
#include "support/long_run.hpp"
#include "trammel/report/colours.hpp"
#include "trammel/report/viewer_points.hpp"

namespace trammel {
namespace {

using Json = nlohmann::json;
using test::comes_true;
using test::keep_picture;

using ScanInBrowser = test::SheetInBrowser;

/// "design", "scan" or "both".
void show_on(test::Browser& browser, const std::string& mode) {
  browser.value_of("document.querySelector('[data-show=" + mode + "]').click()");
}

Eigen::Vector3d scanned_at(const Inspection& inspection, Eigen::Index i) {
  return inspection.alignment.T_design_scan * inspection.scan.points_mm.col(i);
}

/// The point nearest to a place of the design.
Eigen::Index nearest_to(const Inspection& inspection, const Eigen::Vector3d& place_mm) {
  Eigen::Index nearest = 0;
  for (Eigen::Index i = 1; i < inspection.scan.size(); ++i) {
    if ((scanned_at(inspection, i) - place_mm).norm() <
        (scanned_at(inspection, nearest) - place_mm).norm())
      nearest = i;
  }
  return nearest;
}

std::string list_of(const Eigen::Vector3d& mm) {
  return "[" + std::to_string(mm.x()) + "," + std::to_string(mm.y()) + "," +
         std::to_string(mm.z()) + "]";
}

/// What a click on a place of the part would hit: {cell} or {sample}, or null.
Json hit_at(test::Browser& browser, const Eigen::Vector3d& mm) {
  return browser.value_of("(() => { const at = trammel.place(" + list_of(mm) +
                          "); const hit = trammel.pick(at.x, at.y); return hit && {cell: hit.cell, "
                          "sample: hit.sample}; })()");
}

/// How far the scanned point that a click on a place would hit lies from it; NaN where none would.
/// Dots overlap, so that it may be a neighbour.
double sample_off(test::Browser& browser, const Inspection& inspection, const Eigen::Vector3d& mm) {
  const Json hit = hit_at(browser, mm);
  if (!hit.is_object() || !hit.contains("sample")) return std::nan("");
  return (scanned_at(inspection, hit["sample"].get<Eigen::Index>()) - mm).norm();
}

/// The colour of the picture at a place of the part, once it has been drawn.
Rgb colour_at(test::Browser& browser, const Eigen::Vector3d& mm) {
  const Json pixel = browser.value_of(
      "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => { const from "
      "= document.getElementById('picture'), copy = document.createElement('canvas'); copy.width = "
      "from.width; copy.height = from.height; const ink = copy.getContext('2d'); "
      "ink.drawImage(from, 0, 0); const at = trammel.place(" +
      list_of(mm) +
      "), scale = from.width / from.clientWidth; done(Array.from(ink.getImageData(at.x * scale, "
      "at.y * scale, 1, 1).data)); })))");
  return {pixel[0].get<std::uint8_t>(), pixel[1].get<std::uint8_t>(), pixel[2].get<std::uint8_t>()};
}

std::string channels_of(const Rgb& colour) {
  return std::to_string(colour.red) + " " + std::to_string(colour.green) + " " +
         std::to_string(colour.blue);
}

/// Whether a colour is that of a step under the page's light, which only darkens to four fifths.
bool is_lit(const Rgb& seen, const Rgb& step) {
  double low = 1e9, high = 0.0;
  for (const auto& [is, was] : {std::pair<int, int>{seen.red, step.red},
                                {seen.green, step.green},
                                {seen.blue, step.blue}}) {
    low = std::min(low, (is + 1.0) / was);  // a channel is rounded to a whole number
    high = std::max(high, (is - 1.0) / was);
  }
  return high <= 1.0 && low >= 0.8 && high <= low;
}

/// The points of these samples stand 0.6 mm apart and their dots are twice as wide.
constexpr double kDot = 1.3;

TEST_F(ScanInBrowser, EveryScannedPointIsThereWithItsOwnReading) {
  const Inspection inspection = test::failing_inspection(6.0);
  const ViewerPoints points = viewer_points(inspection);
  test::Browser browser;
  ASSERT_TRUE(opened(browser, inspection));
  const Json samples = browser.value_of(
      "Array.from({length: trammel.samples}, (_, i) => { const s = trammel.sample(i); return "
      "[isNaN(s.reading) ? null : s.reading, ...s.place]; })");
  ASSERT_EQ(samples.size(), static_cast<std::size_t>(inspection.scan.size()));
  for (Eigen::Index i = 0; i < inspection.scan.size(); ++i) {
    const Json& sample = samples[static_cast<std::size_t>(i)];
    const double deviation = inspection.deviations.signed_mm[i];
    ASSERT_EQ(sample[0].is_null(), std::isnan(deviation)) << i;
    // Single precision adds 6e-8 of a reading, 8e-6 mm at 130 mm.
    if (!sample[0].is_null()) {
      ASSERT_NEAR(sample[0].get<double>(), deviation, points.reading_error_mm + 1e-6) << i;
    }
    const Eigen::Vector3d place(sample[1].get<double>(), sample[2].get<double>(),
                                sample[3].get<double>());
    ASSERT_LT((place - scanned_at(inspection, i)).norm(), points.place_error_mm + 2e-5) << i;
  }
}

const Eigen::Vector3d kAside(60, 30, 30);  ///< in the air over the base

/// The last of its points lies aside.
Inspection with_one_set_aside() {
  Inspection inspection = test::failing_inspection(3.0);
  inspection.scan.points_mm.col(inspection.scan.size() - 1) =
      inspection.alignment.T_design_scan.inverse() * kAside;
  return inspection;
}

/// Of a page that shows the scan.
void expect_one_set_aside(test::Browser& browser, const Inspection& inspection) {
  EXPECT_EQ(hit_at(browser, kAside).at("sample"), inspection.scan.size() - 1);
  EXPECT_TRUE(colour_at(browser, kAside) == kNotMeasured);
  const auto [x, y] = in_window(browser, kAside);
  browser.move_to(x, y);
  EXPECT_TRUE(comes_true(browser,
                         "document.getElementById('reading').textContent.startsWith('scanned point "
                         "too far off the design')"));
}

TEST_F(ScanInBrowser, IsColouredByTheLegendFollowsTheBandAndIsRead) {
  const Inspection inspection = with_one_set_aside();
  const Region& region = inspection.verdict.regions[0];
  const Eigen::Index worst = nearest_to(inspection, region.center_mm);
  const Eigen::Vector3d place = scanned_at(inspection, worst);
  const double reading = inspection.deviations.signed_mm[worst];
  const int step = step_of(reading, inspection.plan.band);
  ASSERT_GT(step, 0);
  test::Browser browser;
  browser.resize(1000, 1000);
  ASSERT_TRUE(opened(browser, inspection));
  browser.value_of("trammel.look([1, -0.3, 0.4])");
  EXPECT_TRUE(hit_at(browser, place).contains("cell"));

  show_on(browser, "scan");
  EXPECT_LT(sample_off(browser, inspection, place), kDot);
  const Rgb proud = colour_at(browser, place);
  EXPECT_TRUE(is_lit(proud, colour_of_step(step))) << channels_of(proud) << " step " << step;
  keep_picture(browser, "scan");

  // Clicked, it is held with its own reading, and its region is chosen.
  const auto [x, y] = in_window(browser, place);
  browser.click(x, y);
  EXPECT_TRUE(comes_true(browser, "trammel.chosen() === 'region-1'"));
  const std::string held = browser.value_of("document.getElementById('held').textContent");
  EXPECT_EQ(held.rfind("Held: scanned point +", 0), 0u) << held;
  EXPECT_NE(held.find("region 1"), held.npos) << held;
  keep_picture(browser, "scan-held");
  browser.value_of("document.getElementById('picture').focus()");
  browser.press("Escape");
  EXPECT_TRUE(comes_true(browser, "trammel.chosen() === ''"));

  expect_one_set_aside(browser, inspection);

  // Within a band of three times the width it is as grey as the rest.
  browser.value_of(
      "(() => { const slider = document.getElementById('band-over'); slider.value = slider.max; "
      "slider.dispatchEvent(new Event('input')); })()");
  const double factor = browser.value_of("Number(document.getElementById('band-over').value)");
  ASSERT_LT(reading, factor * inspection.plan.band.over_mm);
  const Rgb inside = colour_at(browser, place);
  EXPECT_TRUE(is_lit(inside, colour_of_step(0))) << channels_of(inside);
  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
  EXPECT_TRUE(browser.requests().empty()) << browser.requests().front();
}

TEST_F(ScanInBrowser, WhatWasSetAsideIsGreyAndSaysWhy) {
  if (!test::is_long_run()) {
    GTEST_SKIP() << "ScanInBrowser.IsColoured… tries it as well; ./dev prove tests runs this one";
  }
  const Inspection inspection = with_one_set_aside();
  test::Browser browser;
  browser.resize(1000, 800);
  ASSERT_TRUE(opened(browser, inspection));
  browser.value_of("trammel.look([1, -0.3, 0.4])");
  show_on(browser, "scan");
  expect_one_set_aside(browser, inspection);
  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
}

TEST_F(ScanInBrowser, InFrontOfTheDesignShyPointsShowAsWell) {
  if (!test::is_long_run()) GTEST_SKIP() << "./dev prove tests";
  const Inspection inspection = test::failing_inspection(3.0);
  const Eigen::Index dent = nearest_to(inspection, {25, 42, 2.3});
  ASSERT_LT(inspection.deviations.signed_mm[dent], -0.5);
  test::Browser browser;
  browser.resize(1000, 800);
  ASSERT_TRUE(opened(browser, inspection));
  browser.value_of("trammel.look([0.3, -0.4, 1])");
  show_on(browser, "both");
  keep_picture(browser, "both");
  EXPECT_LT(sample_off(browser, inspection, scanned_at(inspection, dent)), kDot);
  // From below it lies behind the base, whose underside is what is there.
  browser.value_of("trammel.look([0.3, -0.4, -1])");
  EXPECT_FALSE(sample_off(browser, inspection, scanned_at(inspection, dent)) < 1.0);
  // Between the points the design is still there, where the scan saw nothing.
  browser.value_of("trammel.look([0.3, -0.4, 1])");
  EXPECT_TRUE(hit_at(browser, {12, 8, 3}).contains("cell"));
  show_on(browser, "scan");
  EXPECT_FALSE(hit_at(browser, {12, 8, 3}).contains("cell"));
}

TEST_F(ScanInBrowser, IsCutMeasuredAndReachedByKeys) {
  if (!test::is_long_run()) GTEST_SKIP() << "./dev prove tests";
  const Inspection inspection = test::failing_inspection(3.0);
  test::Browser browser;
  browser.resize(1000, 800);
  ASSERT_TRUE(opened(browser, inspection));
  // By keys alone: on from the last view to the first of the three, then to the second.
  browser.value_of("document.querySelector('#views button:last-child').focus()");
  for (int i = 0; i < 2; ++i)
    browser.press("Tab");
  browser.press(" ");
  EXPECT_TRUE(comes_true(
      browser,
      "document.querySelector('[data-show=scan]').getAttribute('aria-pressed') === 'true' && "
      "document.querySelector('[data-show=design]').getAttribute('aria-pressed') === 'false'"));

  // Two points of the scan on the base: their distance is that of the points themselves.
  browser.value_of("trammel.look([0.2, -0.3, 1])");
  browser.value_of("document.getElementById('measure').click()");
  Eigen::Vector3d ends[2];
  for (int i = 0; i < 2; ++i) {
    const Eigen::Vector3d at =
        scanned_at(inspection, nearest_to(inspection, {i == 0 ? 50.0 : 80.0, 20.0, 3.0}));
    ends[i] = scanned_at(inspection, hit_at(browser, at).at("sample").get<Eigen::Index>());
    const auto [x, y] = in_window(browser, at);
    browser.click(x, y);
  }
  ASSERT_TRUE(
      comes_true(browser, "document.getElementById('held').textContent.startsWith('Between')"));
  const std::string words = browser.value_of("document.getElementById('held').textContent");
  const std::string lead = "Between the two points: ";
  ASSERT_EQ(words.rfind(lead, 0), 0u) << words;
  EXPECT_NE(words.find("mm as scanned"), words.npos) << words;
  // Printed to two digits.
  EXPECT_NEAR(std::stod(words.substr(lead.size())), (ends[1] - ends[0]).norm(), 0.006) << words;
  keep_picture(browser, "scan-measured");

  // Cut low down, the upright's points go with the upright.
  const Eigen::Vector3d high =
      scanned_at(inspection, nearest_to(inspection, inspection.verdict.regions[0].center_mm));
  browser.value_of("trammel.look([1, -0.3, 0.4])");
  EXPECT_TRUE(hit_at(browser, high).contains("sample"));
  const Rgb before = colour_at(browser, high);
  browser.value_of(
      "(() => { const cut = document.getElementById('cut-axis'), place = "
      "document.getElementById('cut-place'); cut.value = 'Z'; cut.dispatchEvent(new "
      "Event('input')); place.value = 100; place.dispatchEvent(new Event('input')); })()");
  EXPECT_TRUE(hit_at(browser, high).is_null());
  EXPECT_FALSE(colour_at(browser, high) == before);
  keep_picture(browser, "scan-cut");
  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
}

TEST_F(ScanInBrowser, FitsAPhoneInTheDark) {
  if (!test::is_long_run()) {
    GTEST_SKIP()
        << "SheetInBrowser.FitsAPhoneTheDark… tries the page; ./dev prove tests runs this one";
  }
  test::Browser browser;
  browser.resize(360, 740, true);
  browser.prefer("", "dark");
  ASSERT_TRUE(opened(browser, test::failing_inspection(3.0)));
  for (const std::string mode : {"scan", "both"}) {
    show_on(browser, mode);
    EXPECT_LE(browser.value_of("document.documentElement.scrollWidth").get<int>(), 360);
    browser.value_of("document.getElementById('show').scrollIntoView()");
    keep_picture(browser, "phone-dark-" + mode);
  }
  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
}

}  // namespace
}  // namespace trammel
