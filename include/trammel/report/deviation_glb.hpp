#pragma once

/// The design with its deviations as colours, for programs that show glTF.

#include <string>

#include "trammel/report/viewer_mesh.hpp"

namespace trammel {

/// deviation.glb: glTF 2.0, binary; metres, Y up (x, z, −y of the design), a vertex colour by the
/// step of each cell, white where unseen. Cells as the viewer has them.
/// @param mesh  of this inspection
[[nodiscard]] std::string deviation_glb(const Inspection& inspection, const ViewerMesh& mesh);

}  // namespace trammel
