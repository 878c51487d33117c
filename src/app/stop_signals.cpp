#include "stop_signals.hpp"

#include <pthread.h>
#include <signal.h>

#include <thread>

#include "trammel/base/unfinished.hpp"

namespace trammel::app {
namespace {

bool is_ignored(int number) {
  struct sigaction action {};
  return ::sigaction(number, nullptr, &action) == 0 && action.sa_handler == SIG_IGN;
}

/// A handler may hardly do anything; a thread that waits for the signal may.
void end_by_the_first_of(sigset_t stops) {
  int number = 0;
  if (::sigwait(&stops, &number) != 0) return;
  remove_unfinished();
  ::signal(number, SIG_DFL);
  ::pthread_sigmask(SIG_UNBLOCK, &stops, nullptr);
  ::raise(number);
}

}  // namespace

void answer_stop_signals() {
  sigset_t stops;
  ::sigemptyset(&stops);
  // A file at its largest allowed size is an error of writing like a full disk, and is told so.
  ::signal(SIGXFSZ, SIG_IGN);
  for (const int number : {SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGUSR1, SIGUSR2, SIGALRM})
    if (!is_ignored(number)) ::sigaddset(&stops, number);
  if (::pthread_sigmask(SIG_BLOCK, &stops, nullptr) != 0) return;
  std::thread(end_by_the_first_of, stops).detach();
}

}  // namespace trammel::app
