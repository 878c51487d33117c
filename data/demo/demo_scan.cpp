#include "demo_scan.hpp"

#include <Eigen/Geometry>

#include "support/mesh_files.hpp"
#include "support/shapes.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel::demo {
namespace {

std::string quoted(const std::string& text) {
  return '"' + text + '"';
}

template <typename Row>
std::string list_of(const Row& numbers) {
  std::string text;
  for (Eigen::Index i = 0; i < numbers.size(); ++i)
    text += (i == 0 ? "[" : ", ") + shortest(numbers[i]);
  return text + "]";
}

std::string flaw_text(const Flaw& flaw) {
  return "\n[[flaw]]\nkind = " + quoted(flaw.kind) + "\nwhere = " + quoted(flaw.where) +
         "\nat_mm = " + list_of(flaw.at_mm) + "\nsize_mm = " + shortest(flaw.size_mm) + "\n";
}

std::string pose_text(const Eigen::Isometry3d& T_design_scan) {
  std::string text = "T_design_scan = [\n";
  for (int row = 0; row < 4; ++row)
    text += "  " + list_of(Eigen::Vector4d(T_design_scan.matrix().row(row))) + ",\n";
  return text + "]\n";
}

std::string settings_text(const test::ScannerSettings& settings) {
  const auto truth = [](bool value) { return value ? "true" : "false"; };
  return "\n[settings]\nnoise_mm = " + shortest(settings.noise_mm) +
         "\nstray_share = " + shortest(settings.stray_share) +
         "\nbench = " + truth(settings.bench) + "\nclamp = " + truth(settings.clamp) +
         "\nwith_normals = " + truth(settings.with_normals) + "\n";
}

void write_truth(const DemoScan& demo, const Eigen::Isometry3d& T_design_scan,
                 std::size_t points_on_part, const std::filesystem::path& folder) {
  std::string text = "# What is true of " + demo.name +
                     ", from make_demo. For tests and for the curious: trammel never reads it.\n";
  text += "scan = " + quoted(demo.name) + "\ndesign = " + quoted(demo.design) +
          "\nexpected = " + quoted(demo.expected) + "\nseed = " + std::to_string(demo.seed) +
          "\nmm_per_unit = " + shortest(demo.settings.unit_mm) +
          "\npoints_on_part = " + std::to_string(points_on_part) +
          "\n# p_design = T_design_scan · p_scan, once both are in mm\n" +
          pose_text(T_design_scan) + settings_text(demo.settings);
  for (const Flaw& flaw : demo.flaws)
    text += flaw_text(flaw);
  write_file_whole(folder / (demo.name + ".truth.toml"), text);
}

/// Drops the triangles that the support hid; vertices that no triangle needs stay out as well.
Mesh without_support(const Mesh& mesh, const Eigen::Vector2d& support_mm, double radius_mm) {
  std::vector<int> new_index(static_cast<std::size_t>(mesh.vertices_mm.cols()), -1);
  Mesh seen = mesh;
  Eigen::Index vertices = 0, triangles = 0;
  for (Eigen::Index i = 0; i < mesh.triangles.cols(); ++i) {
    const auto hidden = [&](int corner) {
      const Eigen::Vector3d p = mesh.vertices_mm.col(corner);
      return p.z() < 1e-9 && (p.head<2>() - support_mm).norm() < radius_mm;
    };
    const Eigen::Vector3i corners = mesh.triangles.col(i);
    if (hidden(corners[0]) && hidden(corners[1]) && hidden(corners[2])) continue;
    for (int k = 0; k < 3; ++k) {
      int& index = new_index[static_cast<std::size_t>(corners[k])];
      if (index < 0) {
        index = static_cast<int>(vertices);
        seen.vertices_mm.col(vertices++) = mesh.vertices_mm.col(corners[k]);
      }
      seen.triangles(k, triangles) = index;
    }
    ++triangles;
  }
  seen.vertices_mm.conservativeResize(3, vertices);
  seen.triangles.conservativeResize(3, triangles);
  return seen;
}

Mesh with_noise(Mesh mesh, double noise_mm, Rng rng) {
  Eigen::Matrix3Xd normals = Eigen::Matrix3Xd::Zero(3, mesh.vertices_mm.cols());
  for (Eigen::Index i = 0; i < mesh.triangles.cols(); ++i) {
    for (const int corner : mesh.triangles.col(i))
      normals.col(corner) += area_vector(mesh, i);
  }
  for (Eigen::Index i = 0; i < normals.cols(); ++i)
    mesh.vertices_mm.col(i) += noise_mm * rng.normal() * normals.col(i).normalized();
  return mesh;
}

}  // namespace

void write_points(const DemoScan& demo, const std::filesystem::path& folder) {
  const test::VirtualScan seen = test::scan_of(demo.made, demo.settings, Rng(demo.seed));
  write_file_whole(folder / demo.name, test::ply_bytes(seen.scan));
  write_truth(demo, seen.T_design_scan, seen.on_part, folder);
}

void write_fused_mesh(const DemoScan& demo, const Eigen::Vector2d& support_mm,
                      double support_radius_mm, const std::filesystem::path& folder) {
  constexpr double kEdge_mm = 3.5;
  const Rng rng(demo.seed);
  const Mesh seen =
      without_support(test::refined(demo.made, kEdge_mm), support_mm, support_radius_mm);
  const Mesh noisy = with_noise(seen, demo.settings.noise_mm, rng.stream("noise"));
  Rng pose = rng.stream("pose");
  Eigen::Isometry3d T_scan_design = Eigen::Isometry3d::Identity();
  T_scan_design.linear() = pose.rotation().toRotationMatrix();
  T_scan_design.translation() = 300.0 * pose.direction();
  write_file_whole(folder / demo.name, test::ply_bytes(test::moved(noisy, T_scan_design)));
  write_truth(demo, T_scan_design.inverse(), static_cast<std::size_t>(noisy.vertices_mm.cols()),
              folder);
}

}  // namespace trammel::demo
