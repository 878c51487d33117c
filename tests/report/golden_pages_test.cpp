/// Every page of every sheet, compared with the picture of it that was looked at.
///
/// The pictures in tests/report/golden/ are made anew by `./dev remake-golden`; look at each that
/// changed before it is committed.

#include "report/golden_pages.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "report/pdf_tools.hpp"
#include "report/sample_changes.hpp"
#include "report/sample_inspection.hpp"
#include "trammel/report/changes_sheet.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

struct GoldenSheet {
  const char* name;
  std::string pdf;
};

std::vector<GoldenSheet> golden_sheets() {
  return {{"fail", sheet_pdf(test::failing_inspection(3.0))},
          {"pass", sheet_pdf(test::passing_inspection(3.0))},
          {"undecided", sheet_pdf(test::undecided_inspection(3.0))},
          {"fail-letter", sheet_pdf(test::failing_inspection(3.0), Paper::Letter)},
          {"changes", changes_pdf(test::sample_changes())}};
}

std::size_t pages_of(const std::string& pdf) {
  const std::string info = test::print_of("pdfinfo", "", pdf).value_or("");
  const std::size_t at = info.find("Pages:");
  return at == info.npos ? 0 : std::stoul(info.substr(at + 6));
}

/// Levels of 255. The same renderer gives the same bytes for the same page: 0. A word of five
/// letters or more that moved by one dot makes 8.0 at the least (2,000 words of these sheets), so
/// what lies between is left to a renderer of another version. Another renderer altogether
/// (pdftocairo) is 17 to 50 apart and would want pictures of its own.
constexpr double kTolerance = 6.0;

std::string page_name(const GoldenSheet& sheet, std::size_t page) {
  return std::string(sheet.name) + "-" + std::to_string(page) + ".png";
}

std::string bytes_in(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return std::string(std::istreambuf_iterator<char>(in), {});
}

void put(const fs::path& file, const std::string& bytes) {
  fs::create_directories(file.parent_path());
  std::ofstream(file, std::ios::binary) << bytes;
}

TEST(GoldenPages, EveryPageIsAsItWasWhenItWasLookedAt) {
  const fs::path golden = fs::path(TRAMMEL_SOURCE_DIR) / "tests/report/golden";
  const fs::path now = fs::path(TRAMMEL_BINARY_DIR) / "golden-now";
  const bool remake = std::getenv("TRAMMEL_REMAKE_GOLDEN") != nullptr;
  const std::vector<GoldenSheet> sheets = golden_sheets();
  if (!test::page_png("pdftoppm", sheets.back().pdf, 1))
    GTEST_SKIP() << "pdftoppm is not installed";
  if (remake) fs::remove_all(golden);
  std::size_t pages = 0;
  for (const GoldenSheet& sheet : sheets) {
    const std::size_t count = pages_of(sheet.pdf);
    ASSERT_GT(count, 0u) << sheet.name;
    for (std::size_t page = 1; page <= count; ++page, ++pages) {
      const std::string name = page_name(sheet, page);
      const std::string png = *test::page_png("pdftoppm", sheet.pdf, page);
      if (remake) put(golden / name, png);
      const std::string wanted = bytes_in(golden / name);
      ASSERT_FALSE(wanted.empty()) << "no golden picture " << name;
      const test::Apart apart =
          test::apart(test::picture_of_png(png), test::picture_of_png(wanted));
      if (apart.levels <= kTolerance) continue;
      put(now / name, png);
      ADD_FAILURE() << name << " differs most about dot " << apart.x << ", " << apart.y << " by "
                    << apart.levels << " levels; it is now as in " << now / name
                    << ". If that is right, look at it and run ./dev remake-golden";
    }
  }
  // A page that went is a change as well.
  EXPECT_EQ(std::distance(fs::directory_iterator(golden), {}), static_cast<std::ptrdiff_t>(pages));
}

/// What stood in a word's box stands a dot lower.
Picture with_word_moved(const Picture& page, const test::Word& word) {
  Picture moved = page;
  const int left = static_cast<int>(word.left), right = static_cast<int>(word.right);
  for (int y = std::max(1, static_cast<int>(word.top)); y < static_cast<int>(word.bottom); ++y) {
    const auto from = static_cast<std::ptrdiff_t>(3) * ((y - 1) * page.width + left);
    const auto to = static_cast<std::ptrdiff_t>(3) * (y * page.width + left);
    std::copy_n(page.rgb.begin() + from, 3 * (right - left), moved.rgb.begin() + to);
  }
  return moved;
}

TEST(GoldenPages, AWordThatMovedByADotOrAStepOfColourWouldBeSeen) {
  const std::string pdf = sheet_pdf(test::failing_inspection(3.0));
  const auto words = test::placed_words(pdf);
  const auto png = test::page_png("pdftoppm", pdf, 1);
  if (!words || !png) GTEST_SKIP() << "poppler-utils are not installed";
  std::size_t tried = 0;
  for (std::size_t page = 1; page <= pages_of(pdf); ++page) {
    const Picture picture = test::picture_of_png(*test::page_png("pdftoppm", pdf, page));
    for (const test::Word& word : *words) {
      if (word.page != page || word.text.size() < 5) continue;
      ++tried;
      EXPECT_GT(test::apart(picture, with_word_moved(picture, word)).levels, kTolerance)
          << word.text << " on page " << page;
    }
  }
  EXPECT_GT(tried, 100u);
  // 6 mm across of one step in the place of its neighbour.
  for (int step = -kLastStep; step < kLastStep; ++step) {
    Picture a{16, 16, {}}, b = a;
    for (int i = 0; i < 16 * 16; ++i) {
      for (const auto& [picture, of] : {std::pair<Picture*, int>{&a, step}, {&b, step + 1}}) {
        const Rgb colour = colour_of_step(of);
        picture->rgb.insert(picture->rgb.end(), {colour.red, colour.green, colour.blue});
      }
    }
    EXPECT_GT(test::apart(a, b).levels, kTolerance) << step;
  }
}

TEST(GoldenPages, PicturesOfOtherSizesAreAsFarApartAsCanBe) {
  const Picture small{16, 16, std::vector<std::uint8_t>(3 * 16 * 16)},
      large{16, 32, std::vector<std::uint8_t>(3 * 16 * 32)};
  EXPECT_EQ(test::apart(small, large).levels, 255.0);
  EXPECT_EQ(test::apart(small, small).levels, 0.0);
}

}  // namespace
}  // namespace trammel
