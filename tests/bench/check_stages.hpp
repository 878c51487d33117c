#pragma once

/// The whole check, files in and sheet out, in this process, with the time of each stage taken as
/// `inspect` tells of it, and the time of all processors in it.

#include <Eigen/Core>
#include <cstddef>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace trammel::bench {

/// Milliseconds of every run, by stage, in the order in which the stages come.
struct StageTimes {
  std::vector<std::string> order;
  std::map<std::string, std::vector<double>> times_ms;

  void add(const std::string& stage, double time_ms);
};

/// A wavy housing as part.stl, and scan.ply: a scan of it without normals.
void write_inputs(const std::filesystem::path& folder, std::size_t points, Eigen::Index triangles);

/// What `trammel check --design part.stl --scan scan.ply --out sheet` does in that folder.
/// @param times  one more run is added to each stage
void check_once(const std::filesystem::path& folder, StageTimes& times);

}  // namespace trammel::bench
