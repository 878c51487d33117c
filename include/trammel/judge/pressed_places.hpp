#pragma once

/// Places where sheet is pressed out of itself: on one face a dent, on the other a blob.

#include <vector>

#include "trammel/judge/local_flaws.hpp"

namespace trammel {

/// Joins a blob and a dent to one dent of the wall (`of_wall`) where they lie on faces that look
/// away from each other, one behind the other: their middles no farther apart along the normal than
/// `thickest_mm`, and across it than half the root of the lesser area; and where they are about as
/// high as deep (to a factor of 1.5). It keeps the figure, place, normal and area of the face that
/// went in and the cells of both. Where the other face was not seen a pressed place cannot be told
/// from a dent or blob of one face.
[[nodiscard]] std::vector<LocalFlaw> with_pressed_places(const std::vector<LocalFlaw>& patches,
                                                         const SurfaceCells& cells,
                                                         double thickest_mm);

}  // namespace trammel
