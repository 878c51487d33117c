#include "stack_room.hpp"

#include <cstddef>

namespace trammel::app {

__attribute__((noinline)) void take_stack_room() {
  constexpr std::size_t kRoom = std::size_t{1} << 20;
  constexpr std::size_t kPage = 4096;
  char room[kRoom];
  volatile char* const page = room;  // volatile: nothing here is left out as unused
  for (std::size_t at = kRoom; at >= kPage; at -= kPage)
    page[at - kPage] = 0;  // from the top down
}

}  // namespace trammel::app
