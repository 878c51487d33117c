/// Accuracy of the alignment over seeded poses: one line a part and condition.
///
///   accuracy_align [poses] [first seed] [part]
///
/// A pose counts as *right* when it is held for right (found, converged, not ambiguous, no free
/// direction) and lies within 0.25 mm at every corner of the part, as *unsure* when the alignment
/// says that it may not be trusted, and as *wrong* when it is held for right and lies farther off.
/// Wrong must stay 0. For parts with symmetry only unsure is right.

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/align.hpp"
#include "trammel/base/stats.hpp"

namespace {

using namespace trammel;

struct Part {
  std::string name;
  Mesh mesh;
};

struct Condition {
  std::string name;
  test::ScannerSettings settings;
  bool one_view = false;
  bool bent = false;
};

/// A panel, curved gently both ways and without symmetry.
Mesh panel() {
  Mesh flat = test::refined(test::plate(400, 260, 1.2), 12.0);
  return test::displaced(flat, [](const Eigen::Vector3d& p) {
    return Eigen::Vector3d(0, 0,
                           30.0 * std::sin(p.x() / 150.0) +
                               18.0 * std::sin(p.y() / 120.0) * (1.0 + p.x() / 1300.0) +
                               4.0 * std::sin(p.x() / 60.0) * std::exp(-p.y() / 120.0));
  });
}

/// The last 30 % along x bent up by 8°.
Mesh with_bent_end(const Mesh& mesh) {
  const Box box = bounding_box(mesh.vertices_mm);
  const double from = box.low_mm.x() + 0.7 * box.size_mm().x();
  return test::displaced(test::refined(mesh, 4.0), [&](const Eigen::Vector3d& p) {
    return Eigen::Vector3d(0, 0, 0.14 * std::max(0.0, p.x() - from));
  });
}

std::vector<Condition> conditions() {
  test::ScannerSettings plain;
  plain.points = 40000;
  std::vector<Condition> result;
  const auto add = [&](const std::string& name) -> Condition& {
    result.push_back({name, plain});
    return result.back();
  };
  add("all round");
  add("noise 0.15").settings.noise_mm = 0.15;
  add("strays 20 %").settings.stray_share = 0.25;
  add("no normals").settings.with_normals = false;
  add("bent third").bent = true;
  Condition& bench = add("bench, clamp");
  bench.settings.bench = bench.settings.clamp = true;
  add("one side").one_view = true;
  Condition& bare = add("one side, no normals");
  bare.one_view = true;
  bare.settings.with_normals = false;
  return result;
}

struct Row {
  int right = 0, unsure = 0, wrong = 0, unsure_but_right = 0;
  std::vector<double> errors_mm, predicted_mm, seconds;
};

void add_pose(Row& row, const Part& part, const SurfaceIndex& design, const Condition& condition,
              const Mesh& made_of, const Rng& rng) {
  test::ScannerSettings settings = condition.settings;
  if (condition.one_view) settings.views = {rng.stream("view").direction()};
  const auto made = test::scan_of(made_of, settings, rng.stream("scan"));
  const auto start = std::chrono::steady_clock::now();
  const Alignment a = align(made.scan, design, {}, rng.stream("align"));
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
  row.seconds.push_back(took.count());

  const double error = test::corner_error_mm(
      a.T_design_scan.inverse(), made.T_design_scan.inverse(), bounding_box(part.mesh.vertices_mm));
  const bool held = a.found && a.converged && !a.ambiguous && a.free_directions.empty();
  const bool near = error <= 0.25;
  row.right += held && near ? 1 : 0;
  row.wrong += held && !near ? 1 : 0;
  row.unsure += held ? 0 : 1;
  row.unsure_but_right += !held && near ? 1 : 0;
  if (!held) return;
  row.errors_mm.push_back(error);
  row.predicted_mm.push_back(a.standard_error_mm);
}

}  // namespace

int main(int argc, char** argv) {
  const int poses = argc > 1 ? std::atoi(argv[1]) : 5;
  const int first = argc > 2 ? std::atoi(argv[2]) : 0;
  const std::string only = argc > 3 ? argv[3] : "";
  const std::vector<Part> parts = {{"bracket", test::bracket()},
                                   {"bracket 1 mm", test::bracket(1.0)},
                                   {"housing", test::housing()},
                                   {"flange", test::flange()},
                                   {"panel", panel()}};
  std::printf("%-13s %-21s %6s %6s %6s %6s %10s %10s %10s %8s\n", "part", "condition", "right",
              "unsure", "(near)", "wrong", "median mm", "worst mm", "predicted", "s");
  int wrong = 0;
  for (const Part& part : parts) {
    if (!only.empty() && part.name != only) continue;
    const SurfaceIndex design(part.mesh);
    const Mesh bent = with_bent_end(part.mesh);
    for (const Condition& condition : conditions()) {
      Row row;
      for (int k = first; k < first + poses; ++k)
        add_pose(row, part, design, condition, condition.bent ? bent : part.mesh,
                 Rng(7).stream(part.name + condition.name + std::to_string(k)));
      std::printf("%-13s %-21s %6d %6d %6d %6d %10.4f %10.4f %10.4f %8.2f\n", part.name.c_str(),
                  condition.name.c_str(), row.right, row.unsure, row.unsure_but_right, row.wrong,
                  quantile(row.errors_mm, 0.5), quantile(row.errors_mm, 1.0),
                  quantile(row.predicted_mm, 0.5), quantile(row.seconds, 0.5));
      std::fflush(stdout);
      wrong += row.wrong;
    }
  }
  return wrong == 0 ? 0 : 1;
}
