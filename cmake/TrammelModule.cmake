# Build settings as targets and functions: one line makes a module or a test of it.

add_library(trammel_flags INTERFACE)
target_compile_options(trammel_flags INTERFACE
  -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wdouble-promotion
  # The same bits on every machine: no fused multiply-add behind our back.
  -ffp-contract=off
  # In a unity build every file counts as included, and what is private to it as leaking out of it.
  $<$<BOOL:${CMAKE_UNITY_BUILD}>:-Wno-subobject-linkage>
  $<$<BOOL:${TRAMMEL_WERROR}>:-Werror>
  # GCC tidies its memory less often: 15 % less time for a build, 20 % more memory (1.3 GB at most).
  $<$<CXX_COMPILER_ID:GNU>:SHELL:--param ggc-min-expand=10000 --param ggc-min-heapsize=4000000>)
if(TRAMMEL_SANITIZE)
  target_compile_options(trammel_flags INTERFACE
    -fsanitize=${TRAMMEL_SANITIZE} -fno-omit-frame-pointer -fno-sanitize-recover=all
    # A third of the time of a build, for what the address sanitizer stops at as well (a null pointer, what
    # lies beyond an object) or this processor allows (a value off its alignment).
    -fno-sanitize=null,alignment,vptr,object-size)
  target_link_options(trammel_flags INTERFACE -fsanitize=${TRAMMEL_SANITIZE})
  if(TRAMMEL_SANITIZE STREQUAL thread)
    target_compile_definitions(trammel_flags INTERFACE TRAMMEL_PLAIN_THREADS)
  endif()
endif()

# Eigen and the standard headers are most of what a small file compiles: they are compiled once, for the
# modules, and once more with GoogleTest, for the tests.
set(TRAMMEL_PRECOMPILED <Eigen/Core> <Eigen/Geometry> <algorithm> <array> <cmath> <cstdint> <functional>
    <map> <optional> <string> <string_view> <utility> <vector>)
add_library(trammel_pch OBJECT ${PROJECT_SOURCE_DIR}/cmake/precompiled.cpp)
target_link_libraries(trammel_pch PRIVATE trammel_flags Eigen3::Eigen)
target_precompile_headers(trammel_pch PRIVATE ${TRAMMEL_PRECOMPILED})

# trammel_module(NAME SOURCES a.cpp … USES other … [PRIVATE_USES library …])
# makes the library trammel::NAME; USES are modules or libraries that its headers need.
function(trammel_module name)
  cmake_parse_arguments(arg "" "" "SOURCES;USES;PRIVATE_USES" ${ARGN})
  add_library(trammel_${name} STATIC ${arg_SOURCES})
  add_library(trammel::${name} ALIAS trammel_${name})
  set_target_properties(trammel_${name} PROPERTIES EXPORT_NAME ${name})
  set_property(GLOBAL APPEND PROPERTY TRAMMEL_MODULES trammel_${name})  # packaging/ installs them
  target_compile_features(trammel_${name} PUBLIC cxx_std_17)
  target_include_directories(trammel_${name} PUBLIC $<BUILD_INTERFACE:${PROJECT_SOURCE_DIR}/include>)
  target_link_libraries(trammel_${name}
    PUBLIC ${arg_USES}
    PRIVATE $<BUILD_INTERFACE:trammel_flags> ${arg_PRIVATE_USES})
  target_precompile_headers(trammel_${name} REUSE_FROM trammel_pch)
endfunction()

# At -O1 GCC 12 sees uninitialised values inside Eigen that are none.
set(TRAMMEL_TEST_OPTIONS $<$<CONFIG:Release>:-O1> -Wno-maybe-uninitialized)

# The tests of single units, which the sanitizers go over: those that take less than half a second each, built
# and run with them alone by ./dev test, and the slow ones, which wait for ./dev sanitize.
add_custom_target(unit_tests)
add_custom_target(slow_tests)

# trammel_test(NAME SOURCES a_test.cpp … USES trammel::x … [LABEL unit | slow | …])
# makes one executable of GoogleTest cases, each its own CTest test, or all of them one
# (TRAMMEL_TEST_PROGRAMS): a program with the sanitizers takes long to start.
function(trammel_test name)
  cmake_parse_arguments(arg "" "LABEL;TIMEOUT" "SOURCES;USES" ${ARGN})
  if(NOT arg_LABEL)
    set(arg_LABEL unit)
  endif()
  if(NOT arg_TIMEOUT)
    set(arg_TIMEOUT 300)
  endif()
  add_executable(${name}_test ${arg_SOURCES})
  target_link_libraries(${name}_test
    PRIVATE trammel_flags trammel::support ${arg_USES} GTest::gtest GTest::gtest_main)
  # Tests spend their time in the library; optimising them themselves would only cost building time.
  target_compile_options(${name}_test PRIVATE ${TRAMMEL_TEST_OPTIONS})
  target_precompile_headers(${name}_test REUSE_FROM trammel_test_pch)
  target_compile_definitions(${name}_test PRIVATE
    TRAMMEL_SOURCE_DIR="${PROJECT_SOURCE_DIR}" TRAMMEL_BINARY_DIR="${PROJECT_BINARY_DIR}")
  if(arg_LABEL STREQUAL unit)
    set_target_properties(${name}_test PROPERTIES EXCLUDE_FROM_ALL TRUE)
  endif()
  if(TARGET ${arg_LABEL}_tests)
    add_dependencies(${arg_LABEL}_tests ${name}_test)
  endif()
  if(TRAMMEL_TEST_PROGRAMS)
    list(LENGTH arg_SOURCES cost)  # the largest first
    add_test(NAME ${name} COMMAND ${name}_test --gtest_brief=1)
    set_tests_properties(${name} PROPERTIES LABELS ${arg_LABEL} COST ${cost})
  else()
    gtest_discover_tests(${name}_test DISCOVERY_MODE PRE_TEST
      PROPERTIES LABELS ${arg_LABEL} TIMEOUT ${arg_TIMEOUT})
  endif()
endfunction()
