/// The tables of shared/tolerances/ against the figures of shared/REFERENCE.md, cell by cell, and
/// its cases at the ends of ranges.

#include <gtest/gtest.h>

#include <cmath>

#include "trammel/read/tolerance_tables.hpp"

namespace trammel {
namespace {

constexpr double kNone = -1.0;

/// What the class allows; kNone where it gives nothing.
double allowed(const std::string& name, double size_mm) {
  for (const GeneralTolerance& one : general_tolerances())
    if (one.name == name) return one.allowed_at(size_mm).value_or(kNone);
  ADD_FAILURE() << "no class " << name;
  return 0.0;
}

void expect_row(const std::string& name, const std::vector<double>& ends_mm,
                const std::vector<double>& row) {
  ASSERT_EQ(ends_mm.size(), row.size() + 1);
  for (std::size_t i = 0; i < row.size(); ++i) {
    EXPECT_EQ(allowed(name, ends_mm[i] + 1e-3), row[i]) << name << " above " << ends_mm[i];
    EXPECT_EQ(allowed(name, ends_mm[i + 1]), row[i]) << name << " at " << ends_mm[i + 1];
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
