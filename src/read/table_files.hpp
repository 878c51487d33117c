#pragma once

/// The files of shared/tolerances/, put into the program by the build.

#include <string_view>

namespace trammel {

extern const std::string_view kIso2768Table;
extern const std::string_view kIso13920Table;
extern const std::string_view kIso273Table;
extern const std::string_view kIso2768AnglesTable;
extern const std::string_view kIso13920AnglesTable;
extern const std::string_view kIso2768FlatnessTable;
extern const std::string_view kIso13920FlatnessTable;
extern const std::string_view kIso2768SquareTable;

}  // namespace trammel
