/* Loaded before a process by LD_PRELOAD: writes down, in order, whatever the process does to the files of one folder and
 * which of it was asked to be on the disk (fsync). What the disk would hold if the power went at any moment can be made
 * from that (power_cut.py). Nothing the process does is changed.
 *
 *   POWER_FOLDER   the folder, a real path      POWER_LOG   the file to write to
 *
 * A record: operation (1 byte), length of the path, offset, length of the data (8 bytes each), path, data. Each is one
 * append, so threads, other processes and the tester's own marks stand in the order in which they were made.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

static pthread_mutex_t order = PTHREAD_MUTEX_INITIALIZER;
static int out = -1;
static char folder[PATH_MAX];
static size_t folder_length;

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

__attribute__((constructor)) static void begin(void) {
    const char *where = getenv("POWER_FOLDER"), *log = getenv("POWER_LOG");
    if (!where || !log || strlen(where) >= sizeof folder) return;
    strcpy(folder, where);
    folder_length = strlen(folder);
    out = (int)syscall(SYS_openat, AT_FDCWD, log, O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0600);
}

static int watched(const char *path) {
    if (out < 0 || strncmp(path, folder, folder_length)) return 0;
    if (path[folder_length] && path[folder_length] != '/') return 0;
    size_t length = strlen(path);
    return !(length > 4 && !strcmp(path + length - 4, "-shm")); /* no data of its own: made anew at each start */
}

static int path_of(int fd, char *path) {
    char link[64];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, PATH_MAX - 1);
    if (length < 0) return 0;
    path[length] = 0;
    return watched(path);
}

static int whole_path(int at, const char *given, char *path) {
    if (given[0] == '/') return snprintf(path, PATH_MAX, "%s", given) < PATH_MAX && watched(path);
    char in[PATH_MAX], link[64];
    snprintf(link, sizeof link, at == AT_FDCWD ? "/proc/self/cwd" : "/proc/self/fd/%d", at);
    ssize_t length = readlink(link, in, sizeof in - 1);
    if (length < 0) return 0;
    in[length] = 0;
    return snprintf(path, PATH_MAX, "%s/%s", in, given) < PATH_MAX && watched(path);
}

static void note(char operation, const char *path, uint64_t offset, const void *data, uint64_t length) {
    char head[25];
    uint64_t path_length = strlen(path);
    head[0] = operation;
    memcpy(head + 1, &path_length, 8);
    memcpy(head + 9, &offset, 8);
    memcpy(head + 17, &length, 8);
    struct iovec parts[3] = {{head, sizeof head}, {(void *)path, path_length}, {(void *)data, length}};
    if (syscall(SYS_writev, out, parts, 3) < 0) abort();
}

/* Each goes to the disk and into the record under one lock, so that the record's order is the true one. */
#define NOTED(result_type, call, condition, ...)                                                                       \
    pthread_mutex_lock(&order);                                                                                        \
    result_type result = call;                                                                                         \
    if (condition) note(__VA_ARGS__);                                                                                  \
    pthread_mutex_unlock(&order);                                                                                      \
    return result

ssize_t write(int fd, const void *data, size_t length) {
    char path[PATH_MAX];
    if (out < 0 || fd == out || !path_of(fd, path)) return REAL(write)(fd, data, length);
    pthread_mutex_lock(&order);
    int flags = fcntl(fd, F_GETFL);
    off_t at = lseek(fd, 0, flags & O_APPEND ? SEEK_END : SEEK_CUR);
    ssize_t result = REAL(write)(fd, data, length);
    if (result > 0) note('w', path, (uint64_t)at, data, (uint64_t)result);
    pthread_mutex_unlock(&order);
    return result;
}

ssize_t pwrite(int fd, const void *data, size_t length, off_t offset) {
    char path[PATH_MAX];
    if (!path_of(fd, path)) return REAL(pwrite)(fd, data, length, offset);
    NOTED(ssize_t, REAL(pwrite)(fd, data, length, offset), result > 0, 'w', path, (uint64_t)offset, data, (uint64_t)result);
}

ssize_t pwrite64(int fd, const void *data, size_t length, off64_t offset) {
    char path[PATH_MAX];
    if (!path_of(fd, path)) return REAL(pwrite64)(fd, data, length, offset);
    NOTED(ssize_t, REAL(pwrite64)(fd, data, length, offset), result > 0, 'w', path, (uint64_t)offset, data,
          (uint64_t)result);
}

int ftruncate(int fd, off_t length) {
    char path[PATH_MAX];
    if (!path_of(fd, path)) return REAL(ftruncate)(fd, length);
    NOTED(int, REAL(ftruncate)(fd, length), !result, 't', path, (uint64_t)length, "", 0);
}

int ftruncate64(int fd, off64_t length) {
    char path[PATH_MAX];
    if (!path_of(fd, path)) return REAL(ftruncate64)(fd, length);
    NOTED(int, REAL(ftruncate64)(fd, length), !result, 't', path, (uint64_t)length, "", 0);
}

int fsync(int fd) {
    char path[PATH_MAX];
    if (!path_of(fd, path)) return REAL(fsync)(fd);
    NOTED(int, REAL(fsync)(fd), !result, 's', path, 0, "", 0);
}

int fdatasync(int fd) {
    char path[PATH_MAX];
    if (!path_of(fd, path)) return REAL(fdatasync)(fd);
    NOTED(int, REAL(fdatasync)(fd), !result, 's', path, 0, "", 0);
}

static int opened(int (*open_it)(int, const char *, int, ...), int at, const char *given, int flags, mode_t mode) {
    char path[PATH_MAX];
    int ours = (flags & (O_CREAT | O_TRUNC)) && whole_path(at, given, path);
    if (!ours) return open_it(at, given, flags, mode);
    pthread_mutex_lock(&order);
    struct stat before;
    int was = !fstatat(at, given, &before, 0);
    int result = open_it(at, given, flags, mode);
    if (result >= 0 && !was) note('c', path, 0, "", 0);
    if (result >= 0 && was && (flags & O_TRUNC) && before.st_size) note('t', path, 0, "", 0);
    pthread_mutex_unlock(&order);
    return result;
}

#define MODE                                                                                                           \
    mode_t mode = 0;                                                                                                   \
    if (flags & (O_CREAT | __O_TMPFILE)) {                                                                             \
        va_list more;                                                                                                  \
        va_start(more, flags);                                                                                         \
        mode = va_arg(more, mode_t);                                                                                   \
        va_end(more);                                                                                                  \
    }

int openat(int at, const char *path, int flags, ...) { MODE return opened(REAL(openat), at, path, flags, mode); }
int openat64(int at, const char *path, int flags, ...) { MODE return opened(REAL(openat64), at, path, flags, mode); }
int open(const char *path, int flags, ...) { MODE return opened(REAL(openat), AT_FDCWD, path, flags, mode); }
int open64(const char *path, int flags, ...) { MODE return opened(REAL(openat64), AT_FDCWD, path, flags, mode); }

static int named(char operation, int from_at, const char *from, int to_at, const char *to, int result) {
    char before[PATH_MAX], after[PATH_MAX];
    if (!result && whole_path(to_at, to, after)) {
        if (!whole_path(from_at, from, before)) abort(); /* a file from elsewhere: its content is not known here */
        note(operation, before, 0, after, strlen(after));
    }
    return result;
}

int rename(const char *from, const char *to) {
    pthread_mutex_lock(&order);
    int result = named('r', AT_FDCWD, from, AT_FDCWD, to, REAL(rename)(from, to));
    pthread_mutex_unlock(&order);
    return result;
}

int renameat(int from_at, const char *from, int to_at, const char *to) {
    pthread_mutex_lock(&order);
    int result = named('r', from_at, from, to_at, to, REAL(renameat)(from_at, from, to_at, to));
    pthread_mutex_unlock(&order);
    return result;
}

int link(const char *from, const char *to) {
    pthread_mutex_lock(&order);
    int result = named('l', AT_FDCWD, from, AT_FDCWD, to, REAL(link)(from, to));
    pthread_mutex_unlock(&order);
    return result;
}

static int gone(int at, const char *given, int result) {
    char path[PATH_MAX];
    if (!result && whole_path(at, given, path)) note('u', path, 0, "", 0);
    return result;
}

int unlink(const char *path) {
    pthread_mutex_lock(&order);
    int result = gone(AT_FDCWD, path, REAL(unlink)(path));
    pthread_mutex_unlock(&order);
    return result;
}

int unlinkat(int at, const char *path, int flags) {
    pthread_mutex_lock(&order);
    int result = gone(at, path, REAL(unlinkat)(at, path, flags));
    pthread_mutex_unlock(&order);
    return result;
}
