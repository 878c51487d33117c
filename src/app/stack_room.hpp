#pragma once

namespace trammel::app {

/// Takes one MiB of the calling thread's stack for good. The stack of the main thread grows as it
/// is used, and where memory is limited (ulimit -v) a growth that is refused is no std::bad_alloc
/// but the end by SIGSEGV. To be called at the start of main, where memory is still to be had; the
/// program needs some 150 KiB of it.
void take_stack_room();

}  // namespace trammel::app
