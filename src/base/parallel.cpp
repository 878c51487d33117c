#include "trammel/base/parallel.hpp"

#include <tbb/global_control.h>
#include <tbb/parallel_for.h>

#include <atomic>
#include <exception>
#include <thread>

namespace trammel {
namespace {

#ifdef TRAMMEL_PLAIN_THREADS
/// For the thread sanitizer, which does not see how TBB hands work over, and would report all of
/// it: two threads that are seen to begin and to end.
void run_each(std::size_t count, const std::function<void(std::size_t)>& run) {
  std::atomic<std::size_t> next{0};
  std::exception_ptr thrown[2];
  const auto work = [&](std::exception_ptr& error) {
    try {
      for (std::size_t i = next++; i < count; i = next++)
        run(i);
    } catch (...) {
      error = std::current_exception();
      next = count;
    }
  };
  std::thread other(work, std::ref(thrown[1]));
  work(thrown[0]);
  other.join();
  for (const std::exception_ptr& error : thrown)
    if (error) std::rethrow_exception(error);
}
#else
template <typename Run>
void run_each(std::size_t count, const Run& run) {
  tbb::parallel_for(std::size_t{0}, count, run);
}
#endif

}  // namespace

ThreadLimit::ThreadLimit(int threads) {
  const auto wanted = threads > 0 ? static_cast<std::size_t>(threads)
                                  : std::max<std::size_t>(1, std::thread::hardware_concurrency());
  control_ = new tbb::global_control(tbb::global_control::max_allowed_parallelism, wanted);
}

ThreadLimit::~ThreadLimit() {
  delete static_cast<tbb::global_control*>(control_);
}

void for_each_chunk(std::size_t count, std::size_t grain,
                    const std::function<void(std::size_t begin, std::size_t end)>& body) {
  const std::size_t chunks = (count + grain - 1) / grain;
  const auto run = [&](std::size_t chunk) {
    body(chunk * grain, std::min(count, (chunk + 1) * grain));
  };
  if (chunks <= 1) {
    if (chunks == 1) run(0);
    return;
  }
  run_each(chunks, run);
}

void run_together(const std::vector<std::function<void()>>& tasks) {
  std::vector<std::exception_ptr> thrown(tasks.size());
  for_each_chunk(tasks.size(), 1, [&](std::size_t begin, std::size_t) {
    try {
      tasks[begin]();
    } catch (...) {
      thrown[begin] = std::current_exception();
    }
  });
  for (const std::exception_ptr& error : thrown)
    if (error) std::rethrow_exception(error);
}

}  // namespace trammel
