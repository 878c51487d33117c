# A library that Debian 12 gives no CMake configuration: find_plain_library(Haru hpdf.h hpdf) makes the target
# Haru::Haru of the header and the library of those names.
include(FindPackageHandleStandardArgs)
macro(find_plain_library name header library)
  string(TOUPPER ${name} prefix)
  find_path(${prefix}_INCLUDE_DIR ${header})
  find_library(${prefix}_LIBRARY ${library})
  find_package_handle_standard_args(${name} REQUIRED_VARS ${prefix}_LIBRARY ${prefix}_INCLUDE_DIR)
  if(${name}_FOUND AND NOT TARGET ${name}::${name})
    add_library(${name}::${name} UNKNOWN IMPORTED)
    set_target_properties(${name}::${name} PROPERTIES
      IMPORTED_LOCATION ${${prefix}_LIBRARY}
      INTERFACE_INCLUDE_DIRECTORIES ${${prefix}_INCLUDE_DIR})
  endif()
  mark_as_advanced(${prefix}_INCLUDE_DIR ${prefix}_LIBRARY)
endmacro()
