#include "trammel/base/folder_lock.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>

#include "trammel/base/error.hpp"

namespace trammel {

int locked_folder(const std::filesystem::path& folder) {
  const int file = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (file < 0 || ::flock(file, LOCK_EX | LOCK_NB) == 0) return file;
  const int why = errno;
  ::close(file);
  errno = why;
  return -1;
}

FolderLock::FolderLock(const std::filesystem::path& folder) : file_(locked_folder(folder)) {
  if (file_ >= 0 || errno != EWOULDBLOCK) return;
  throw Error(ErrorKind::Output, folder.string(),
              "expected a folder that no other run writes to, found one at work in it",
              "Wait for it to end, or choose another --out");
}

FolderLock::~FolderLock() {
  if (file_ >= 0) ::close(file_);
}

}  // namespace trammel
