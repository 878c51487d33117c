#include "cut_input.hpp"

#include <signal.h>
#include <unistd.h>

#include <cstring>

#include "trammel/base/error.hpp"

namespace trammel::app {
namespace {

constexpr char kMessage[] =
    "trammel: expected input files at rest, found one cut short while it was read. Wait until the "
    "other program has saved it, then run again\n";

/// Only what a signal handler may call.
void on_lost_bytes(int number, siginfo_t* facts, void*) {
  if (facts->si_code != BUS_ADRERR) {
    ::signal(number, SIG_DFL);
    return;  // the same instruction raises it again
  }
  const ssize_t put = ::write(STDERR_FILENO, kMessage, sizeof kMessage - 1);
  (void)put;
  ::_exit(static_cast<int>(ExitCode::BadInput));
}

}  // namespace

void answer_cut_input() {
  struct sigaction action {};
  action.sa_sigaction = on_lost_bytes;
  action.sa_flags = SA_SIGINFO;
  ::sigaction(SIGBUS, &action, nullptr);
}

}  // namespace trammel::app
