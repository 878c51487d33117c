# Debian 12 gives FriBidi no CMake configuration.
find_path(FRIBIDI_INCLUDE_DIR fribidi/fribidi.h)
find_library(FRIBIDI_LIBRARY fribidi)
include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(FriBidi REQUIRED_VARS FRIBIDI_LIBRARY FRIBIDI_INCLUDE_DIR)
if(FriBidi_FOUND AND NOT TARGET FriBidi::FriBidi)
  add_library(FriBidi::FriBidi UNKNOWN IMPORTED)
  set_target_properties(FriBidi::FriBidi PROPERTIES
    IMPORTED_LOCATION ${FRIBIDI_LIBRARY}
    INTERFACE_INCLUDE_DIRECTORIES ${FRIBIDI_INCLUDE_DIR})
endif()
mark_as_advanced(FRIBIDI_INCLUDE_DIR FRIBIDI_LIBRARY)
