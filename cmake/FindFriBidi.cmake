include(${CMAKE_CURRENT_LIST_DIR}/plain_library.cmake)
find_plain_library(FriBidi fribidi/fribidi.h fribidi)
