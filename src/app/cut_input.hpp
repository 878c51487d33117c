#pragma once

/// A file that another program cuts short while it is mapped takes its bytes away from under the
/// reader, which the system answers with a signal.

namespace trammel::app {

/// From now on that ends the program with one message and exit code 65. No sheet is half-written
/// then: files are only mapped while they are read. Of many scans those before it have their
/// sheets, and the overview says that the rest was not checked.
void answer_cut_input();

}  // namespace trammel::app
