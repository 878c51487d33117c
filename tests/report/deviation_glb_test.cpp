#include "trammel/report/deviation_glb.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "report/browser.hpp"
#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "trammel/report/colours.hpp"
#include "trammel/report/corner_deviations.hpp"
#include "trammel/report/html_text.hpp"

namespace trammel {
namespace {

using Json = nlohmann::json;

/// A reader of its own, after the specification: header, chunks, views, accessors, all in bounds.
struct Glb {
  Json scene;
  std::string binary;

  explicit Glb(const std::string& bytes) {
    EXPECT_EQ(bytes.substr(0, 4), "glTF");
    EXPECT_EQ(word(bytes, 4), 2u);
    EXPECT_EQ(word(bytes, 8), bytes.size());
    const std::size_t json_size = word(bytes, 12);
    EXPECT_EQ(json_size % 4, 0u);
    EXPECT_EQ(bytes.substr(16, 4), "JSON");
    scene = Json::parse(bytes.substr(20, json_size));
    const std::size_t at = 20 + json_size, size = word(bytes, at);
    EXPECT_EQ(size % 4, 0u);
    EXPECT_EQ(bytes.substr(at + 4, 4), std::string("BIN\0", 4));
    EXPECT_EQ(at + 8 + size, bytes.size());
    binary = bytes.substr(at + 8);
  }

  static std::uint32_t word(const std::string& bytes, std::size_t at) {
    std::uint32_t value = 0;
    for (unsigned k = 0; k < 4; ++k)
      value |= std::uint32_t{static_cast<unsigned char>(bytes.at(at + k))} << (8 * k);
    return value;
  }

  /// Where element i of an accessor lies; checks that all of it is inside its view.
  [[nodiscard]] std::size_t element(const Json& accessor, std::size_t i, std::size_t size) const {
    const Json& view = scene.at("bufferViews").at(accessor.at("bufferView").get<std::size_t>());
    const std::size_t stride = view.value("byteStride", size);
    const std::size_t in_view = accessor.at("byteOffset").get<std::size_t>() + i * stride;
    EXPECT_LE(in_view + size, view.at("byteLength").get<std::size_t>());
    const std::size_t at = view.at("byteOffset").get<std::size_t>() + in_view;
    EXPECT_LE(at + size, binary.size());
    return at;
  }

  [[nodiscard]] Eigen::Vector3d place(std::size_t i) const {
    Eigen::Vector3d p;
    for (std::size_t k = 0; k < 3; ++k) {
      float value = 0;
      const std::size_t at = element(scene.at("accessors")[0], i, 12) + 4 * k;
      std::memcpy(&value, &binary[at], 4);
      p[static_cast<Eigen::Index>(k)] = static_cast<double>(value);
    }
    return p;
  }
};

struct Made {
  Inspection inspection;
  ViewerMesh mesh;
  Glb glb;
  explicit Made(Inspection from)
      : inspection(std::move(from)),
        mesh(viewer_mesh(inspection, corner_deviations(inspection.surface))),
        glb(deviation_glb(inspection, mesh)) {}
};

TEST(DeviationGlb, EveryNumberLiesInItsViewAndEveryIndexNamesAVertex) {
  const Made made(test::failing_inspection(3.0));
  const Json& accessors = made.glb.scene.at("accessors");
  const auto count = accessors[0].at("count").get<std::size_t>();
  EXPECT_EQ(accessors[1].at("count"), count);
  EXPECT_EQ(accessors[2].at("count"), 3 * made.mesh.size());
  EXPECT_EQ(made.glb.scene.at("buffers")[0].at("byteLength"), made.glb.binary.size());
  Eigen::Vector3d low = made.glb.place(0), high = low;
  for (std::size_t i = 0; i < count; ++i) {
    low = low.cwiseMin(made.glb.place(i));
    high = high.cwiseMax(made.glb.place(i));
    (void)made.glb.element(accessors[1], i, 4);
  }
  for (std::size_t k = 0; k < 3; ++k) {
    EXPECT_EQ(accessors[0].at("min")[k].get<double>(), low[static_cast<Eigen::Index>(k)]);
    EXPECT_EQ(accessors[0].at("max")[k].get<double>(), high[static_cast<Eigen::Index>(k)]);
  }
  for (std::size_t i = 0; i < 3 * made.mesh.size(); ++i)
    ASSERT_LT(Glb::word(made.glb.binary, made.glb.element(accessors[2], i, 4)), count);
}

TEST(DeviationGlb, IsThePartInMetresStandingUpright) {
  const Made made(test::failing_inspection(5.0));
  const Json& places = made.glb.scene.at("accessors")[0];
  // The bracket is 90 × 60 × 55 mm; glTF's Y is our Z.
  const double wanted[] = {0.090, 0.055, 0.060};
  for (std::size_t k = 0; k < 3; ++k) {
    EXPECT_NEAR(places.at("max")[k].get<double>() - places.at("min")[k].get<double>(), wanted[k],
                1e-6);
  }
}

TEST(DeviationGlb, CellsKeepTheirWindingAndHaveTheColourOfTheirStep) {
  const Made made(test::failing_inspection(3.0));
  const Glb& glb = made.glb;
  const SurfaceMap& surface = made.inspection.surface;
  const Json& accessors = glb.scene.at("accessors");
  for (std::size_t c = 0; c < made.mesh.size(); c += 7) {
    std::size_t vertex[3];
    for (std::size_t k = 0; k < 3; ++k)
      vertex[k] = Glb::word(glb.binary, glb.element(accessors[2], 3 * c + k, 4));
    const Eigen::Vector3d up = (glb.place(vertex[1]) - glb.place(vertex[0]))
                                   .cross(glb.place(vertex[2]) - glb.place(vertex[0]));
    const Eigen::Vector3d normal = surface.cells.normal.col(static_cast<Eigen::Index>(c));
    EXPECT_GT(up.normalized().dot(Eigen::Vector3d(normal.x(), normal.z(), -normal.y())), 0.99);
    const double deviation = surface.readings.deviation_mm[static_cast<Eigen::Index>(c)];
    const Rgb srgb =
        std::isnan(deviation) ? kPaper : colour_of(deviation, made.inspection.plan.band);
    const auto red =
        static_cast<unsigned char>(glb.binary[glb.element(accessors[1], vertex[1], 4)]);
    // Back from linear light; 8 bits of it are coarse where it is dark.
    const double linear = red / 255.0;
    const double back =
        linear <= 0.0031308 ? 12.92 * linear : 1.055 * std::pow(linear, 1.0 / 2.4) - 0.055;
    EXPECT_NEAR(255.0 * back, srgb.red, 4.0);
  }
}

std::string text_in(const char* file) {
  std::ifstream in(file, std::ios::binary);
  return std::string(std::istreambuf_iterator<char>(in), {});
}

TEST(DeviationGlb, IsReadByThreeJs) {
  if (!test::Browser::is_there()) GTEST_SKIP() << "chromium is not installed";
  const std::string loader = text_in(TRAMMEL_GLTF_LOADER);
  if (loader.empty()) GTEST_SKIP() << "libjs-three has no GLTFLoader.js";
  const Inspection inspection = test::failing_inspection(4.0);
  const ViewerMesh mesh = viewer_mesh(inspection, corner_deviations(inspection.surface));
  const test::ScratchFolder scratch;
  const auto page = scratch.path() / "page.html";
  std::ofstream(page, std::ios::binary)
      << "<!doctype html><link rel=icon href=data:,><script>" << text_in(TRAMMEL_THREE)
      << "</script><script>" << loader << "</script><script>const bytes = Uint8Array.from(atob('"
      << base64(deviation_glb(inspection, mesh))
      << "'), (c) => c.charCodeAt(0)); window.read = new Promise((done, fail) => new "
         "THREE.GLTFLoader().parse(bytes.buffer, '', done, fail));</script>";
  test::Browser browser;
  browser.open(page);
  const Json told = browser.value_of(
      "read.then((file) => { const meshes = []; file.scene.traverse((o) => { if (o.isMesh) "
      "meshes.push(o); }); const { geometry, material } = meshes[0]; "
      "geometry.computeBoundingBox(); "
      "const size = geometry.boundingBox.getSize(new THREE.Vector3()); return { meshes: "
      "meshes.length, corners: geometry.index.count, size: size.toArray(), coloured: "
      "material.vertexColors > 0, colours: geometry.attributes.color.count, places: "
      "geometry.attributes.position.count }; })");
  EXPECT_EQ(told.at("meshes"), 1);
  EXPECT_EQ(told.at("corners"), 3 * mesh.size());
  EXPECT_EQ(told.at("colours"), told.at("places"));
  EXPECT_EQ(told.at("coloured"), true) << told;
  // 90 × 60 × 55 mm in metres, Y upwards.
  EXPECT_NEAR(told.at("size")[0].get<double>(), 0.090, 1e-6);
  EXPECT_NEAR(told.at("size")[1].get<double>(), 0.055, 1e-6);
  EXPECT_NEAR(told.at("size")[2].get<double>(), 0.060, 1e-6);
  EXPECT_TRUE(browser.complaints().empty()) << browser.complaints().front();
}

}  // namespace
}  // namespace trammel
