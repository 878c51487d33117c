#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <sstream>

#include "report/sample_inspection.hpp"
#include "trammel/report/colours.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

/// A few lines of reading: enough for what is written.
struct PlyPoints {
  std::size_t count = 0;
  std::vector<std::string> names;
  std::vector<std::vector<double>> values;  ///< one row a point
};

PlyPoints read_back(const std::string& bytes) {
  PlyPoints ply;
  std::vector<std::string> types;
  const std::string end = "end_header\n";
  const std::size_t body = bytes.find(end) + end.size();
  std::istringstream lines(bytes.substr(0, body));
  for (std::string line; std::getline(lines, line);) {
    std::istringstream words(line);
    std::string first, second, third;
    words >> first >> second >> third;
    if (first == "element") ply.count = std::stoul(third);
    if (first != "property") continue;
    types.push_back(second);
    ply.names.push_back(third);
  }
  const char* at = bytes.data() + body;
  for (std::size_t i = 0; i < ply.count; ++i) {
    std::vector<double> row;
    for (const std::string& type : types) {
      if (type == "uchar") {
        row.push_back(static_cast<unsigned char>(*at++));
        continue;
      }
      float value = 0;
      std::memcpy(&value, at, sizeof(value));
      at += sizeof(value);
      row.push_back(static_cast<double>(value));
    }
    ply.values.push_back(row);
  }
  EXPECT_EQ(at, bytes.data() + bytes.size());
  return ply;
}

TEST(DeviationPly, HoldsPointsInDesignCoordinatesWithTheirDeviation) {
  const Inspection inspection = test::failing_inspection(5.0);
  const PlyPoints ply = read_back(deviation_ply(inspection));
  ASSERT_EQ(ply.count, static_cast<std::size_t>(inspection.scan.size()));
  const std::vector<std::string> names = {"x",  "y",   "z",     "nx",   "ny",
                                          "nz", "red", "green", "blue", "deviation"};
  EXPECT_EQ(ply.names, names);
  for (std::size_t i = 0; i < ply.count; i += 37) {
    const auto at = static_cast<Eigen::Index>(i);
    const double deviation = inspection.deviations.signed_mm[at];
    if (std::isnan(deviation)) continue;
    const Eigen::Vector3d foot = inspection.deviations.foot_mm.col(at);
    const Eigen::Vector3d point(ply.values[i][0], ply.values[i][1], ply.values[i][2]);
    const Eigen::Vector3d normal(ply.values[i][3], ply.values[i][4], ply.values[i][5]);
    // Single precision of coordinates up to 100 mm: half a step is 4e-6 mm an axis.
    EXPECT_NEAR((point - foot).dot(normal), deviation, 2e-5);
    EXPECT_NEAR(ply.values[i][9], deviation, 1e-6);
    const Rgb colour = colour_of(deviation, inspection.plan.band);
    EXPECT_EQ(ply.values[i][6], colour.red);
    EXPECT_EQ(ply.values[i][7], colour.green);
    EXPECT_EQ(ply.values[i][8], colour.blue);
  }
}

TEST(DeviationPly, WhatHasNoReadingIsNaNAndGrey) {
  const Inspection inspection = test::failing_inspection(6.0);
  const PlyPoints ply = read_back(deviation_ply(inspection));
  EXPECT_TRUE(std::isnan(ply.values.back()[9]));
  EXPECT_EQ(ply.values.back()[6], kNotMeasured.red);
}

TEST(DeviationPly, LeavesNormalsOutWhereTheScanHasNone) {
  Inspection inspection = test::failing_inspection(6.0);
  inspection.scan.normals.resize(3, 0);
  const PlyPoints ply = read_back(deviation_ply(inspection));
  const std::vector<std::string> names = {"x", "y", "z", "red", "green", "blue", "deviation"};
  EXPECT_EQ(ply.names, names);
}

TEST(AlignedScanPly, HoldsThePointsAndNormalsAlone) {
  const Inspection inspection = test::failing_inspection(6.0);
  const PlyPoints ply = read_back(aligned_scan_ply(inspection));
  ASSERT_EQ(ply.count, static_cast<std::size_t>(inspection.scan.size()));
  const std::vector<std::string> names = {"x", "y", "z", "nx", "ny", "nz"};
  EXPECT_EQ(ply.names, names);
  const Eigen::Vector3d wanted =
      inspection.alignment.T_design_scan * inspection.scan.points_mm.col(5);
  // Single precision of coordinates up to 100 mm.
  for (std::size_t k = 0; k < 3; ++k)
    EXPECT_NEAR(ply.values[5][k], wanted[static_cast<Eigen::Index>(k)], 4e-6);
}

}  // namespace
}  // namespace trammel
