#pragma once

/// The parts that the alignment is proven on, and what becomes of them when they are made or
/// scanned badly.

#include <string>
#include <vector>

#include "trammel/base/random.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/model/scan.hpp"

namespace trammel::test {

struct StudyPart {
  std::string name;
  Mesh mesh;
  bool symmetric = false;  ///< fits in more than one way: only "unsure" is right
};

/// Bracket, housing, flange, smooth panel and tube elbow, and from the folder shared/data the test
/// artifact of NIST and a machined block, where they are present.
[[nodiscard]] std::vector<StudyPart> study_parts();

/// 400 × 260 mm, 1.2 mm thick, curved gently both ways and without symmetry.
[[nodiscard]] Mesh panel();

/// Tube of 25 mm and 2 mm wall, bent by 90° about 45 mm, with legs of 70 and 40 mm.
[[nodiscard]] Mesh elbow();

/// The last of the surface along the longest side, a share of it, bent up.
[[nodiscard]] Mesh with_bent_end(const Mesh& mesh, double share, double angle_deg);

/// As scanning programs save it: one mesh, its noise smoothed over some millimetres (`noise_mm`, 1
/// σ) and its edges rounded, in points and normals of its triangles.
[[nodiscard]] Scan fused_scan(const Mesh& mesh, double noise_mm, Rng rng);

}  // namespace trammel::test
