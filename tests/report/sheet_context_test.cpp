#include "trammel/report/sheet_context.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

TEST(SheetContext, HoldsOneRimForEachHoleAndTheFindings) {
  const Inspection inspection = test::failing_inspection(5.0);
  const SheetContext context(inspection);
  EXPECT_EQ(context.rims.size(), inspection.verdict.holes.size());
  EXPECT_EQ(context.found.size(), 4U);
  EXPECT_EQ(context.decimals, 2);
  EXPECT_NEAR(context.rims[0].center_mm[0].z(), 3.0, 1e-4);  // the base is 3 mm thick
}

}  // namespace
}  // namespace trammel
