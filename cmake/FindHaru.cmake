include(${CMAKE_CURRENT_LIST_DIR}/plain_library.cmake)
find_plain_library(Haru hpdf.h hpdf)
