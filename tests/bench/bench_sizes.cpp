/// The commands on scans of many millions of points, each as a process of its own: its time and the
/// most memory that it held.
///
/// bench_sizes [POINTS...]: without numbers 1, 5, 20 and 50 million. Takes 2 GB of a disk.

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <string>
#include <vector>

#include "bench/bench_table.hpp"
#include "bench/wavy_housing.hpp"
#include "support/mesh_files.hpp"
#include "support/panel.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/files.hpp"

namespace {

using namespace trammel;
namespace fs = std::filesystem;

constexpr Eigen::Index kTriangles = 100'000;

void write_scan(const fs::path& file, const Mesh& part, std::size_t points,
                std::vector<Eigen::Vector3d> views, std::uint64_t seed) {
  test::ScannerSettings settings;
  settings.views = std::move(views);
  settings.points = points;
  settings.with_normals = false;
  write_file_whole(file, test::ply_bytes(test::scan_of(part, settings, Rng(seed)).scan));
}

/// Runs the program in the folder and prints a row of it, or what went wrong.
void run(const std::string& command, std::size_t points, const fs::path& folder,
         std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), {TRAMMEL_PROGRAM, command});
  arguments.insert(arguments.end(), {"--quiet", "--out", "out"});
  bench::Stopwatch watch;
  const pid_t child = fork();
  if (child == 0) {
    std::vector<char*> words;
    for (std::string& argument : arguments)
      words.push_back(argument.data());
    words.push_back(nullptr);
    if (chdir(folder.c_str()) != 0 || freopen("said.txt", "w", stdout) == nullptr) _exit(73);
    execv(TRAMMEL_PROGRAM, words.data());
    _exit(70);
  }
  int status = 0;
  rusage usage{};
  wait4(child, &status, 0, &usage);
  const double time_ms = watch.lap_ms();
  if (!WIFEXITED(status) || WEXITSTATUS(status) > 2) {
    std::cerr << command << " of " << points << " points failed\n";
    std::exit(1);
  }
  bench::print_row(command, points, bench::machine_threads(), {time_ms},
                   static_cast<double>(usage.ru_maxrss) / 1024.0);
}

void bench_size(const fs::path& folder, std::size_t points) {
  const Mesh design = bench::wavy_housing(kTriangles);
  write_file_whole(folder / "part.stl", test::stl_bytes(design));
  write_scan(folder / "scan.ply", design, points, {}, 5);
  run("check", points, folder, {"--design", "part.stl", "--scan", "scan.ply"});
  test::PanelOptions repaired;
  repaired.bracket = true;
  write_scan(folder / "old.ply", test::wing_panel(), points, test::panel_views(), 6);
  write_scan(folder / "scan.ply", test::wing_panel(repaired), points, test::panel_views(), 7);
  run("changes", points, folder, {"old.ply", "scan.ply"});
  run("square", points, folder, {"scan.ply"});
}

}  // namespace

int main(int count, char** given) {
  std::string pattern = (fs::temp_directory_path() / "trammel-bench-XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) return 73;
  const fs::path folder = pattern;
  std::vector<std::size_t> sizes = {1'000'000, 5'000'000, 20'000'000, 50'000'000};
  if (count > 1) sizes.clear();
  for (int i = 1; i < count; ++i)
    sizes.push_back(std::strtoul(given[i], nullptr, 10));
  bench::print_header();
  for (const std::size_t points : sizes)
    bench_size(folder, points);
  fs::remove_all(folder);
}
