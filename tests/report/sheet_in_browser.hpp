#pragma once

/// sheet.html, written and opened in a real browser.

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <string>
#include <utility>

#include "report/browser.hpp"
#include "report/pdf_tools.hpp"
#include "trammel/report/report.hpp"

namespace trammel::test {

/// Where screenshots go, to be looked at: TRAMMEL_SCREENSHOTS, or nowhere.
inline void keep_picture(Browser& browser, const std::string& name) {
  if (const char* folder = std::getenv("TRAMMEL_SCREENSHOTS"))
    browser.save_picture(std::filesystem::path(folder) / (name + ".png"));
}

/// Until an expression holds: the page draws in its own time.
inline bool comes_true(Browser& browser, const std::string& expression) {
  return browser
      .value_of("new Promise((done) => { let left = 200; const look = () => { if (" + expression +
                ") done(true); else if (--left === 0) done(false); else setTimeout(look, 50); }; "
                "look(); })")
      .get<bool>();
}

/// In the window, of a point of the part.
inline std::pair<double, double> in_window(Browser& browser, const Eigen::Vector3d& mm) {
  const nlohmann::json at = browser.value_of(
      "(() => { const box = document.getElementById('picture').getBoundingClientRect(), at = "
      "trammel.place([" +
      std::to_string(mm.x()) + "," + std::to_string(mm.y()) + "," + std::to_string(mm.z()) +
      "]); return [box.left + at.x, box.top + at.y]; })()");
  return {at[0].get<double>(), at[1].get<double>()};
}

/// A page that is open in a browser, or a skipped test.
class SheetInBrowser : public ::testing::Test {
 protected:
  void SetUp() override {
    if (!Browser::is_there()) GTEST_SKIP() << "chromium is not installed";
  }
  std::filesystem::path write(const Inspection& inspection,
                              const std::string& name = "sheet.html") {
    const std::filesystem::path file = scratch_.path() / name;
    std::ofstream(file, std::ios::binary) << sheet_html(inspection);
    return file;
  }
  /// Opens the sheet of an inspection; false where it never gets ready.
  [[nodiscard]] bool opened(Browser& browser, const Inspection& inspection) {
    browser.open(write(inspection));
    return comes_true(browser, "window.trammel && trammel.ready");
  }
  ScratchFolder scratch_;
};

}  // namespace trammel::test
