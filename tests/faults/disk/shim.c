/*
 * Stands between a process and the C library's file calls (LD_PRELOAD), for files in one folder.
 * Two things, by environment:
 *   SHIM_FOLDER  the folder; everything else passes untouched.
 *   SHIM_FAIL    "<n> <errno> once|sticky reads|writes": the n-th call fails with that error, and
 *                with sticky every later one, until the file SHIM_LIFT exists.
 *   SHIM_COUNT   a file that is given the number of counted calls at exit.
 *   SHIM_RECORD  a file that is given every change, in order, for a power cut to be made of it:
 *                "<op> <path> <offset> <length>\n", then so many bytes.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static const char *folder, *lift, *count_path;
static int record_fd = -1;
static long fail_at = 0, calls = 0;
static int fail_errno = 0, is_sticky = 0, counts_reads = 0;

#define REAL(name) __typeof__(&name) real = (__typeof__(&name))dlsym(RTLD_NEXT, #name)

static void at_end(void) {
  if (count_path == NULL) return;
  FILE *file = fopen(count_path, "w");
  if (file == NULL) return;
  fprintf(file, "%ld\n", calls);
  fclose(file);
}

__attribute__((constructor)) static void begin(void) {
  char once[8] = "", what[8] = "";
  folder = getenv("SHIM_FOLDER");
  lift = getenv("SHIM_LIFT");
  count_path = getenv("SHIM_COUNT");
  const char *fail = getenv("SHIM_FAIL");
  if (fail != NULL && sscanf(fail, "%ld %d %7s %7s", &fail_at, &fail_errno, once, what) == 4) {
    is_sticky = strcmp(once, "sticky") == 0;
    counts_reads = strcmp(what, "reads") == 0;
  }
  const char *record = getenv("SHIM_RECORD");
  if (record != NULL) {
    REAL(open64);
    record_fd = real(record, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
  }
  atexit(at_end);
}

static int is_ours(const char *path) {
  return folder != NULL && strncmp(path, folder, strlen(folder)) == 0;
}

/* The path behind a descriptor, if it is in the folder; a deleted file is nobody's any more. */
static int ours(int fd, char *path) {
  if (folder == NULL) return 0;
  char link[64];
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  ssize_t length = readlink(link, path, PATH_MAX - 1);
  if (length < 0) return 0;
  path[length] = 0;
  return is_ours(path) && strstr(path, " (deleted)") == NULL;
}

/* Counts the call; true if it is one that must fail. */
static int fails(int is_read) {
  if (is_read && !counts_reads) return 0;
  pthread_mutex_lock(&lock);
  calls += 1;
  int is_due = fail_at > 0 && (calls == fail_at || (is_sticky && calls > fail_at));
  pthread_mutex_unlock(&lock);
  if (!is_due) return 0;
  int kept = errno;
  if (lift != NULL && access(lift, F_OK) == 0) {
    errno = kept;
    return 0;
  }
  errno = fail_errno;
  return 1;
}

static void record(const char *op, const char *path, long long offset, const void *bytes,
                   size_t length) {
  if (record_fd < 0) return;
  char head[PATH_MAX + 64];
  REAL(write);
  int size = snprintf(head, sizeof head, "%s %s %lld %zu\n", op, path, offset, length);
  pthread_mutex_lock(&lock);
  if (real(record_fd, head, (size_t)size) != size) abort();
  for (size_t done = 0; done < length;) {
    ssize_t part = real(record_fd, (const char *)bytes + done, length - done);
    if (part <= 0) abort();
    done += (size_t)part;
  }
  pthread_mutex_unlock(&lock);
}

ssize_t pwrite64(int fd, const void *bytes, size_t length, off64_t offset) {
  REAL(pwrite64);
  char path[PATH_MAX];
  if (!ours(fd, path)) return real(fd, bytes, length, offset);
  if (fails(0)) return -1;
  ssize_t done = real(fd, bytes, length, offset);
  if (done > 0) record("write", path, offset, bytes, (size_t)done);
  return done;
}

ssize_t write(int fd, const void *bytes, size_t length) {
  REAL(write);
  char path[PATH_MAX];
  if (!ours(fd, path)) return real(fd, bytes, length);
  if (fails(0)) return -1;
  ssize_t done = real(fd, bytes, length);
  if (done > 0) record("write", path, lseek(fd, 0, SEEK_CUR) - done, bytes, (size_t)done);
  return done;
}

int ftruncate64(int fd, off64_t length) {
  REAL(ftruncate64);
  char path[PATH_MAX];
  if (!ours(fd, path)) return real(fd, length);
  if (fails(0)) return -1;
  int result = real(fd, length);
  if (result == 0) record("truncate", path, length, "", 0);
  return result;
}

int fsync(int fd) {
  REAL(fsync);
  char path[PATH_MAX];
  if (!ours(fd, path)) return real(fd);
  if (fails(0)) return -1;
  int result = real(fd);
  if (result == 0) record("sync", path, 0, "", 0);
  return result;
}

int fdatasync(int fd) {
  REAL(fdatasync);
  char path[PATH_MAX];
  if (!ours(fd, path)) return real(fd);
  if (fails(0)) return -1;
  int result = real(fd);
  if (result == 0) record("sync", path, 0, "", 0);
  return result;
}

ssize_t pread64(int fd, void *bytes, size_t length, off64_t offset) {
  REAL(pread64);
  char path[PATH_MAX];
  if (counts_reads && ours(fd, path) && fails(1)) return -1;
  return real(fd, bytes, length, offset);
}

int open64(const char *path, int flags, ...) {
  REAL(open64);
  mode_t mode = 0;
  if (flags & (O_CREAT | O_TMPFILE)) {
    va_list rest;
    va_start(rest, flags);
    mode = va_arg(rest, mode_t);
    va_end(rest);
  }
  if (!is_ours(path)) return real(path, flags, mode);
  int is_new = (flags & O_CREAT) != 0 && access(path, F_OK) != 0;
  /* A read-only file system refuses to open for writing; a full one only what needs room. */
  int is_read = fail_errno == EROFS ? (flags & O_ACCMODE) == O_RDONLY && !is_new
                                    : !is_new && (flags & O_TRUNC) == 0;
  if (fails(is_read)) return -1;
  int fd = real(path, flags, mode);
  if (fd >= 0 && is_new) record("create", path, 0, "", 0);
  else if (fd >= 0 && (flags & O_TRUNC)) record("truncate", path, 0, "", 0);
  return fd;
}

int access(const char *path, int mode) {
  REAL(access);
  if (fail_errno == EROFS && (mode & W_OK) && is_ours(path) && fails(0)) return -1;
  return real(path, mode);
}

int unlink(const char *path) {
  REAL(unlink);
  if (!is_ours(path)) return real(path);
  /* Removing needs no space; with a disk that is only full it works. */
  if (fail_errno != ENOSPC && fails(0)) return -1;
  int result = real(path);
  if (result == 0) record("remove", path, 0, "", 0);
  return result;
}

int rename(const char *from, const char *to) {
  REAL(rename);
  if (!is_ours(from)) return real(from, to);
  if (fails(0)) return -1;
  int result = real(from, to);
  if (result == 0) record("rename", from, 0, to, strlen(to));
  return result;
}
