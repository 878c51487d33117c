/// The tables of shared/tolerances/ against the figures of shared/REFERENCE.md, cell by cell, and
/// its cases at the ends of ranges.

#include <gtest/gtest.h>

#include <cmath>

#include "trammel/read/tolerance_tables.hpp"

namespace trammel {
namespace {

constexpr double kNone = -1.0;

/// What the class allows; kNone where it gives nothing.
double allowed(const std::string& name, double size_mm,
               const std::vector<GeneralTolerance>& classes = general_tolerances()) {
  for (const GeneralTolerance& one : classes)
    if (one.name == name) return one.allowed_at(size_mm).value_or(kNone);
  ADD_FAILURE() << "no class " << name;
  return 0.0;
}

void expect_row(const std::string& name, const std::vector<double>& ends_mm,
                const std::vector<double>& row,
                const std::vector<GeneralTolerance>& classes = general_tolerances()) {
  ASSERT_EQ(ends_mm.size(), row.size() + 1);
  for (std::size_t i = 0; i < row.size(); ++i) {
    EXPECT_EQ(allowed(name, ends_mm[i] + 1e-3, classes), row[i]) << name << " above " << ends_mm[i];
    EXPECT_EQ(allowed(name, ends_mm[i + 1], classes), row[i]) << name << " at " << ends_mm[i + 1];
  }
}

/// Of angles: each value in minutes of arc.
void expect_minutes(const std::string& name, const std::vector<double>& ends_mm,
                    const std::vector<double>& minutes) {
  constexpr double kMinute = 3.14159265358979323846 / 10800.0;
  for (std::size_t i = 0; i < minutes.size(); ++i) {
    EXPECT_NEAR(allowed(name, ends_mm[i] + 1e-3, angular_tolerances()), minutes[i] * kMinute, 1e-12)
        << name << " above " << ends_mm[i];
    EXPECT_NEAR(allowed(name, ends_mm[i + 1], angular_tolerances()), minutes[i] * kMinute, 1e-12)
        << name << " at " << ends_mm[i + 1];
  }
}

// ISO 2768-1:1989, table 1, as in REFERENCE.md 1.1 (from an extract of JIS B 0405).
TEST(PublishedTables, LinearClassesOfIso2768) {
  const std::vector<double> ends{0.5, 3, 6, 30, 120, 400, 1000, 2000, 4000};
  expect_row("ISO 2768-f", ends, {0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, kNone});
  expect_row("ISO 2768-m", ends, {0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2});
  expect_row("ISO 2768-c", ends, {0.2, 0.3, 0.5, 0.8, 1.2, 2, 3, 4});
  expect_row("ISO 2768-v", ends, {kNone, 0.5, 1, 1.5, 2.5, 4, 6, 8});
}

// The boundary cases that REFERENCE.md 1.1 names.
TEST(PublishedTables, RangesOfIso2768EndWhereTheyShould) {
  EXPECT_EQ(allowed("ISO 2768-m", 0.5), 0.1);  // the first range holds 0.5 itself
  EXPECT_EQ(allowed("ISO 2768-m", 6.0), 0.1);
  EXPECT_EQ(allowed("ISO 2768-m", 6.001), 0.2);
  EXPECT_EQ(allowed("ISO 2768-m", 30.0), 0.2);
  EXPECT_EQ(allowed("ISO 2768-c", 120.0), 0.8);
  EXPECT_EQ(allowed("ISO 2768-v", 2.9), kNone);
  EXPECT_EQ(allowed("ISO 2768-f", 2500.0), kNone);
  EXPECT_EQ(allowed("ISO 2768-m", 0.4), kNone);
  EXPECT_EQ(allowed("ISO 2768-m", 4000.001), kNone);
}

// ISO 13920, linear, as in REFERENCE.md 1.6 (second hand; the first column partly from memory).
TEST(PublishedTables, LinearClassesOfIso13920) {
  const std::vector<double> ends{2,    30,   120,   400,   1000,  2000,
                                 4000, 8000, 12000, 16000, 20000, 50000};
  expect_row("ISO 13920-A", ends, {1, 1, 1, 2, 3, 4, 5, 6, 7, 8, 9});
  expect_row("ISO 13920-B", ends, {1, 2, 2, 3, 4, 6, 8, 10, 12, 14, 16});
  expect_row("ISO 13920-C", ends, {1, 3, 4, 6, 8, 11, 14, 18, 21, 24, 27});
  expect_row("ISO 13920-D", ends, {1, 4, 7, 9, 12, 16, 21, 27, 32, 36, 40});
  EXPECT_EQ(allowed("ISO 13920-A", 2.0), 1);
  EXPECT_EQ(allowed("ISO 13920-A", 1.99), kNone);
}

// ISO 2768-1:1989, table 3, as in REFERENCE.md 1.3 (two pages of makers).
TEST(PublishedTables, AngularClassesOfIso2768) {
  const std::vector<double> ends{0, 10, 50, 120, 400, 5000};
  expect_minutes("ISO 2768-f", ends, {60, 30, 20, 10, 5});
  expect_minutes("ISO 2768-m", ends, {60, 30, 20, 10, 5});
  expect_minutes("ISO 2768-c", ends, {90, 60, 30, 15, 10});
  expect_minutes("ISO 2768-v", ends, {180, 120, 60, 30, 20});
}

// ISO 13920, angular, as in REFERENCE.md 1.6. The same table also gives each in mm over a metre, in
// round figures (18 for 1°, whose tangent makes 17.46): a slip by one column or class is 20 % or
// more.
TEST(PublishedTables, AngularClassesOfIso13920AreItsMillimetresOverAMetre) {
  const std::vector<double> ends{0, 400, 1000, 50000};
  expect_minutes("ISO 13920-A", ends, {20, 15, 10});
  expect_minutes("ISO 13920-B", ends, {45, 30, 20});
  expect_minutes("ISO 13920-C", ends, {60, 45, 30});
  expect_minutes("ISO 13920-D", ends, {90, 75, 60});
  const double over_a_metre[4][3] = {{6, 4.5, 3}, {13, 9, 6}, {18, 13, 9}, {26, 22, 18}};
  for (int letter = 0; letter < 4; ++letter) {
    const std::string name = "ISO 13920-" + std::string(1, static_cast<char>('A' + letter));
    for (int column = 0; column < 3; ++column)
      EXPECT_NEAR(1000.0 * std::tan(allowed(name, ends[static_cast<std::size_t>(column) + 1],
                                            angular_tolerances())),
                  over_a_metre[letter][column], 0.04 * over_a_metre[letter][column]);
  }
}

// ISO 2768-2:1989, as in REFERENCE.md 1.4 (three pages).
TEST(PublishedTables, FlatnessAndPerpendicularityOfIso2768) {
  const std::vector<double> flat{0, 10, 30, 100, 300, 1000, 3000};
  expect_row("ISO 2768-H", flat, {0.02, 0.05, 0.1, 0.2, 0.3, 0.4}, flatness_tolerances());
  expect_row("ISO 2768-K", flat, {0.05, 0.1, 0.2, 0.4, 0.6, 0.8}, flatness_tolerances());
  expect_row("ISO 2768-L", flat, {0.1, 0.2, 0.4, 0.8, 1.2, 1.6}, flatness_tolerances());
  EXPECT_EQ(allowed("ISO 2768-H", 3000.1, flatness_tolerances()), kNone);
  const std::vector<double> square{0, 100, 300, 1000, 3000};
  expect_row("ISO 2768-H", square, {0.2, 0.3, 0.4, 0.5}, perpendicularity_tolerances());
  expect_row("ISO 2768-K", square, {0.4, 0.6, 0.8, 1}, perpendicularity_tolerances());
  expect_row("ISO 2768-L", square, {0.6, 1, 1.5, 2}, perpendicularity_tolerances());
}

// ISO 13920, flatness and parallelism, as in REFERENCE.md 1.6 (second hand). G and H stand there
// from memory alone: no plan can name them.
TEST(PublishedTables, FlatnessOfIso13920) {
  const std::vector<double> ends{0,    30,   120,   400,   1000,  2000,
                                 4000, 8000, 12000, 16000, 20000, 50000};
  for (const auto& classes : {flatness_tolerances(), parallelism_tolerances()}) {
    expect_row("ISO 13920-E", ends, {kNone, 0.5, 1, 1.5, 2, 3, 4, 5, 6, 7, 8}, classes);
    expect_row("ISO 13920-F", ends, {kNone, 1, 1.5, 3, 4.5, 6, 8, 10, 12, 14, 16}, classes);
  }
  EXPECT_EQ(parallelism_tolerances().size(), 2U);
  EXPECT_EQ(flatness_tolerances().size(), 5U);
}

// ISO 273, as in REFERENCE.md 10.
TEST(PublishedTables, ClearanceHolesOfIso273) {
  const double rows[][4] = {{3, 3.2, 3.4, 3.6},   {4, 4.3, 4.5, 4.8},   {5, 5.3, 5.5, 5.8},
                            {6, 6.4, 6.6, 7},     {8, 8.4, 9, 10},      {10, 10.5, 11, 12},
                            {12, 13, 13.5, 14.5}, {14, 15, 15.5, 16.5}, {16, 17, 17.5, 18.5}};
  EXPECT_EQ(clearance_holes().size(), 9U);
  for (const auto& row : rows) {
    const auto hole = clearance_hole(row[0]);
    ASSERT_TRUE(hole.has_value()) << "M" << row[0];
    EXPECT_EQ(hole->fine_mm, row[1]);
    EXPECT_EQ(hole->medium_mm, row[2]);
    EXPECT_EQ(hole->coarse_mm, row[3]);
  }
  EXPECT_FALSE(clearance_hole(7.0).has_value());
}

}  // namespace
}  // namespace trammel
