#include "trammel/model/scan.hpp"

#include "trammel/base/error.hpp"

namespace trammel {

void check_scan(const Scan& scan) {
  TRAMMEL_CHECK(scan.normals.cols() == 0 || scan.normals.cols() == scan.points_mm.cols(),
                "a scan has one normal a point or none");
}

}  // namespace trammel
