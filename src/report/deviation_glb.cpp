#include "trammel/report/deviation_glb.hpp"

#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "byte_writer.hpp"
#include "trammel/report/colours.hpp"

// glTF 2.0 in its binary container (Khronos, "glTF 2.0 Specification", sections 3.6 and 4.4).

namespace trammel {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::uint32_t kMagic = 0x46546C67, kVersion = 2;
constexpr std::uint32_t kJsonChunk = 0x4E4F534A, kBinaryChunk = 0x004E4942;
constexpr int kFloat = 5126, kUnsignedByte = 5121, kUnsignedInt = 5125;
constexpr int kVertices = 34962, kIndices = 34963;
constexpr std::size_t kVertexBytes = 12 + 4;  ///< place as floats, colour as bytes
constexpr int kColours = 2 * kLastStep + 2;   ///< the steps and unseen

/// A place that several steps meet at is a vertex for each of them, so that borders stay crisp.
struct ColouredVertices {
  std::vector<std::uint32_t> place, index;  ///< of the viewer's mesh; 3 a cell into `place`
  std::vector<int> colour;  ///< one a vertex, 0 … kColours − 1; the last is unseen
};

int colour_of_cell(const Plan& plan, const ViewerMesh& mesh, std::size_t c) {
  if (mesh.readings[c] == kUnseenReading) return kColours - 1;
  const std::size_t band = mesh.bands[c];
  return kLastStep + step_of(mesh.readings[c] * mesh.reading_step_mm,
                             band == 0 ? plan.band : plan.zones[band - 1].band);
}

ColouredVertices coloured_vertices(const Plan& plan, const ViewerMesh& mesh) {
  ColouredVertices vertices;
  constexpr std::uint32_t kNone = 0xFFFFFFFF;
  std::vector<std::uint32_t> number(mesh.places.size() / 3 * kColours, kNone);
  for (std::size_t c = 0; c < mesh.size(); ++c) {
    const int colour = colour_of_cell(plan, mesh, c);
    for (std::size_t k = 0; k < 3; ++k) {
      const std::uint32_t place = mesh.corners[3 * c + k];
      std::uint32_t& mine =
          number[std::size_t{place} * kColours + static_cast<std::size_t>(colour)];
      if (mine == kNone) {
        mine = static_cast<std::uint32_t>(vertices.place.size());
        vertices.place.push_back(place);
        vertices.colour.push_back(colour);
      }
      vertices.index.push_back(mine);
    }
  }
  return vertices;
}

/// glTF has metres and Y upwards.
Eigen::Vector3f gltf_place(const ViewerMesh& mesh, std::uint32_t place) {
  Eigen::Vector3d p = mesh.origin_mm;
  for (Eigen::Index k = 0; k < 3; ++k)
    p[k] += mesh.place_step_mm * mesh.places[3 * std::size_t{place} + static_cast<std::size_t>(k)];
  return (1e-3 * Eigen::Vector3d(p.x(), p.z(), -p.y())).cast<float>();
}

/// Steps are sRGB; vertex colours are linear light (section 3.7.2.1, IEC 61966-2-1).
Rgb linear(Rgb colour) {
  const auto light = [](std::uint8_t channel) {
    const double s = channel / 255.0;
    const double value = s <= 0.04045 ? s / 12.92 : std::pow((s + 0.055) / 1.055, 2.4);
    return static_cast<std::uint8_t>(std::lround(255.0 * value));
  };
  return {light(colour.red), light(colour.green), light(colour.blue)};
}

std::array<Rgb, kColours> linear_colours() {
  std::array<Rgb, kColours> colours;
  for (int step = -kLastStep; step <= kLastStep; ++step)
    colours[static_cast<std::size_t>(step + kLastStep)] = linear(colour_of_step(step));
  colours.back() = kPaper;
  return colours;
}

Json accessor(int view, std::size_t offset, int component, std::size_t count, const char* type) {
  return {{"bufferView", view},
          {"byteOffset", offset},
          {"componentType", component},
          {"count", count},
          {"type", type}};
}

/// Smallest and largest places as they are written, in single precision.
void add_limits(const ViewerMesh& mesh, const ColouredVertices& vertices, Json& places) {
  Eigen::Vector3f low = Eigen::Vector3f::Zero(), high = Eigen::Vector3f::Zero();
  for (std::size_t v = 0; v < vertices.place.size(); ++v) {
    const Eigen::Vector3f p = gltf_place(mesh, vertices.place[v]);
    low = v == 0 ? p : Eigen::Vector3f(low.cwiseMin(p));
    high = v == 0 ? p : Eigen::Vector3f(high.cwiseMax(p));
  }
  const auto listed = [](const Eigen::Vector3f& p) {
    return Json::array({double(p.x()), double(p.y()), double(p.z())});
  };
  places["min"] = listed(low);
  places["max"] = listed(high);
}

std::string scene_json(const Inspection& inspection, const ViewerMesh& mesh,
                       const ColouredVertices& vertices) {
  const std::size_t count = vertices.place.size(), corners = vertices.index.size();
  const std::size_t vertex_bytes = kVertexBytes * count, index_bytes = 4 * corners;
  Json places = accessor(0, 0, kFloat, count, "VEC3");
  add_limits(mesh, vertices, places);
  Json colours = accessor(0, 12, kUnsignedByte, count, "VEC4");
  colours["normalized"] = true;
  const Json primitive = {
      {"attributes", {{"POSITION", 0}, {"COLOR_0", 1}}}, {"indices", 2}, {"material", 0}};
  const Json material = {{"name", "deviation"},
                         {"doubleSided", true},
                         {"pbrMetallicRoughness", {{"metallicFactor", 0}, {"roughnessFactor", 1}}}};
  const Json vertex_view = {{"buffer", 0},
                            {"byteOffset", 0},
                            {"byteLength", vertex_bytes},
                            {"byteStride", kVertexBytes},
                            {"target", kVertices}};
  const Json index_view = {{"buffer", 0},
                           {"byteOffset", vertex_bytes},
                           {"byteLength", index_bytes},
                           {"target", kIndices}};
  Json scene;
  scene["asset"] = {{"version", "2.0"}, {"generator", "trammel " + inspection.run.version}};
  scene["scene"] = 0;
  scene["scenes"] = Json::array({{{"nodes", Json::array({0})}}});
  scene["nodes"] = Json::array({{{"mesh", 0}, {"name", inspection.design.file}}});
  scene["meshes"] = Json::array({{{"primitives", Json::array({primitive})}}});
  scene["materials"] = Json::array({material});
  scene["accessors"] =
      Json::array({places, colours, accessor(1, 0, kUnsignedInt, corners, "SCALAR")});
  scene["bufferViews"] = Json::array({vertex_view, index_view});
  scene["buffers"] = Json::array({{{"byteLength", vertex_bytes + index_bytes}}});
  std::string text = scene.dump(-1, ' ', false, Json::error_handler_t::replace);
  return text.append((4 - text.size() % 4) % 4, ' ');  // chunks begin at multiples of four
}

}  // namespace

std::string deviation_glb(const Inspection& inspection, const ViewerMesh& mesh) {
  const ColouredVertices vertices = coloured_vertices(inspection.plan, mesh);
  const std::string scene = scene_json(inspection, mesh, vertices);
  const std::size_t body = kVertexBytes * vertices.place.size() + 4 * vertices.index.size();
  std::string bytes(12 + 8 + scene.size() + 8 + body, '\0');
  ByteWriter head(bytes.data());
  head.put(kMagic);
  head.put(kVersion);
  head.put(static_cast<std::uint32_t>(bytes.size()));
  head.put(static_cast<std::uint32_t>(scene.size()));
  head.put(kJsonChunk);
  std::copy(scene.begin(), scene.end(), bytes.begin() + 20);
  ByteWriter out(&bytes[20 + scene.size()]);
  out.put(static_cast<std::uint32_t>(body));
  out.put(kBinaryChunk);
  const auto colours = linear_colours();
  for (std::size_t v = 0; v < vertices.place.size(); ++v) {
    out.put(Eigen::Vector3d(gltf_place(mesh, vertices.place[v]).cast<double>()));
    out.put(colours[static_cast<std::size_t>(vertices.colour[v])]);
    out.put_byte(255);
  }
  for (const std::uint32_t index : vertices.index)
    out.put(index);
  return bytes;
}

}  // namespace trammel
