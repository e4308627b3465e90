/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/state.h"

#include "logger/base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/pidfd.h>
#include <sys/stat.h>
#include <unistd.h>

#define STATE_SIZE 1024

static const char *const awake_words[] = {"", "lid", "kept", "not", "let"};

const char *nr_awake_word(nr_awake_is awake)
{
    return awake_words[awake];
}

const char *nr_awake_text(nr_awake_is awake)
{
    switch (awake) {
    case NR_AWAKE_LID:
        return "the computer is kept awake, also with its lid closed";
    case NR_AWAKE_KEPT:
        return "the computer is kept awake; do not close its lid";
    case NR_AWAKE_NOT:
        return "the computer is not kept awake: see to it that it does not go to sleep";
    case NR_AWAKE_LET:
        return "the computer may go to sleep (--let-sleep)";
    case NR_AWAKE_UNKNOWN:
        break;
    }
    return "";
}

static bool state_path(const char *folder, const char *name, char *out, size_t size)
{
    return snprintf(out, size, "%s/%s", folder, name) < (int)size;
}

/* fcntl and not flock: F_GETLK names the holder, so nobody has to believe a pid in a file. */
static struct flock whole_file(void)
{
    struct flock l;
    memset(&l, 0, sizeof l);
    l.l_type = F_WRLCK;
    l.l_whence = SEEK_SET;
    return l;
}

static nr_code locked(const char *folder, nr_err *err)
{
    pid_t pid = nr_state_holder(folder);
    if (pid > 0)
        return nr_fail(err, NR_BAD, folder, 0,
                       "process %ld is recording into this run; `noonlog stop` ends it", (long)pid);
    return nr_fail(err, NR_BAD, folder, 0,
                   "another program holds the lock of this run (" NR_STATE_FILE
                   "); `lslocks` may name it");
}

nr_code nr_state_lock(const char *folder, int *fd, nr_err *err)
{
    char path[NR_ERR_FILE];
    if (!state_path(folder, NR_STATE_FOLDER, path, sizeof path))
        return nr_fail(err, NR_BAD, folder, 0, "the path is too long");
    if (mkdir(path, 0755) < 0 && errno != EEXIST)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot create the folder");
    state_path(folder, NR_STATE_FILE, path, sizeof path);
    *fd = open(path, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK, 0600);
    if (*fd < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot write");
    fchmod(*fd, 0600); /* of noonlog 1.0: readable by all; another owner's stays so */
    struct flock l = whole_file();
    if (fcntl(*fd, F_SETLK, &l) == 0)
        return NR_OK;
    int why = errno;
    close(*fd);
    *fd = -1;
    if (why == EACCES || why == EAGAIN)
        return locked(folder, err);
    return nr_fail_errno(err, NR_BAD, path, why, "cannot lock");
}

bool nr_state_write(int fd, const nr_state *s)
{
    char text[STATE_SIZE];
    int n = snprintf(text, sizeof text,
                     "pid=%ld\nboot_id=%s\nzero_steady_s=%.6f\nzero_utc_s=%.6f\nelapsed_s=%.3f\n"
                     "at_steady_s=%.6f\nlast_row_s=%.3f\nrows=%lu\nlines=%lu\nrejected=%lu\n"
                     "on_disk=%lu\nlost=%lu\nended=%d\nstatus=%d\nwaiting=%d\nfree_bytes=%.0f\n"
                     "battery_percent=%.0f\nawake=%s\ntrouble=%s",
                     s->pid, s->boot_id, s->zero_steady_s, s->zero_utc_s, s->elapsed_s,
                     s->at_steady_s, s->last_row_s, s->rows, s->lines, s->rejected, s->on_disk,
                     s->lost, s->ended, s->status, s->waiting, s->supply.free_bytes,
                     s->supply.battery_percent, nr_awake_word(s->awake), s->trouble);
    /* Of constant length, so that no reader sees the end of an older, longer content. */
    memset(text + n, ' ', sizeof text - (size_t)n);
    text[sizeof text - 1] = '\n';
    return pwrite(fd, text, sizeof text, 0) == (ssize_t)sizeof text;
}

static void read_key(nr_state *s, const char *key, const char *value)
{
    double number = 0;
    if (strcmp(key, "boot_id") == 0)
        nr_copy(s->boot_id, sizeof s->boot_id, value);
    if (strcmp(key, "trouble") == 0)
        nr_clean(s->trouble, sizeof s->trouble, value, strlen(value));
    for (int a = NR_AWAKE_LID; a <= NR_AWAKE_LET && strcmp(key, "awake") == 0; a++)
        if (strcmp(value, awake_words[a]) == 0)
            s->awake = (nr_awake_is)a;
    if (!nr_parse_double(value, &number) || !isfinite(number))
        return;
    struct {
        const char *key;
        double *to;
    } doubles[] = {{"zero_steady_s", &s->zero_steady_s},
                   {"zero_utc_s", &s->zero_utc_s},
                   {"elapsed_s", &s->elapsed_s},
                   {"at_steady_s", &s->at_steady_s},
                   {"last_row_s", &s->last_row_s},
                   {"free_bytes", &s->supply.free_bytes},
                   {"battery_percent", &s->supply.battery_percent}};
    for (size_t i = 0; i < sizeof doubles / sizeof doubles[0]; i++)
        if (strcmp(key, doubles[i].key) == 0)
            *doubles[i].to = number;
    if (!(number >= 0 && number < 1e15))
        return;
    struct {
        const char *key;
        unsigned long *to;
    } counts[] = {{"rows", &s->rows},
                  {"lines", &s->lines},
                  {"rejected", &s->rejected},
                  {"on_disk", &s->on_disk},
                  {"lost", &s->lost}};
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++)
        if (strcmp(key, counts[i].key) == 0)
            *counts[i].to = number < (double)ULONG_MAX ? (unsigned long)number : ULONG_MAX;
    if (strcmp(key, "pid") == 0)
        s->pid = number <= INT_MAX ? (long)number : 0;
    if (strcmp(key, "waiting") == 0)
        s->waiting = number > 0;
    if (strcmp(key, "ended") == 0) {
        s->closes = true;
        s->ended = number > 0;
    }
    if (strcmp(key, "status") == 0)
        s->status = number <= NR_BAD ? (int)number : NR_BAD;
}

nr_code nr_state_read(const char *folder, nr_state *out, nr_err *err)
{
    char path[NR_ERR_FILE], text[STATE_SIZE + 1];
    memset(out, 0, sizeof *out);
    out->last_row_s = -1;
    out->supply = (nr_supply){.free_bytes = NAN, .battery_percent = NAN};
    if (!state_path(folder, NR_STATE_FILE, path, sizeof path))
        return nr_fail(err, NR_BAD, folder, 0, "the path is too long");
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (fd < 0 && errno == EACCES)
        return nr_fail(err, NR_BAD, path, 0,
                       "may be read only by the user who records; be that user (or root)");
    if (fd < 0)
        return nr_fail_errno(err, NR_CANNOT, path, errno, "nothing is known of a recording here");
    ssize_t n = read(fd, text, STATE_SIZE);
    close(fd);
    if (n < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot read");
    text[n] = '\0';
    char *next = text;
    for (char *line = strsep(&next, "\n"); line; line = strsep(&next, "\n")) {
        char *equals = strchr(line, '=');
        if (!equals)
            continue;
        *equals = '\0';
        read_key(out, line, nr_trim(equals + 1));
    }
    return NR_OK;
}

pid_t nr_state_holder(const char *folder)
{
    char path[NR_ERR_FILE];
    if (!state_path(folder, NR_STATE_FILE, path, sizeof path))
        return 0;
    int fd = open(path, O_RDWR | O_CLOEXEC | O_NONBLOCK);
    if (fd < 0)
        fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (fd < 0)
        return 0;
    struct flock l = whole_file();
    int asked = fcntl(fd, F_GETLK, &l);
    close(fd);
    if (asked != 0 || l.l_type == F_UNLCK)
        return 0;
    return l.l_pid > 1 ? l.l_pid : NR_STATE_STRANGER;
}

/* The same program file; after an upgrade the old one goes by the same name, "(deleted)". */
static bool is_same_program(pid_t pid)
{
    static const char deleted[] = " (deleted)";
    char path[64], own[NR_ERR_FILE], other[NR_ERR_FILE];
    snprintf(path, sizeof path, "/proc/%ld/exe", (long)pid);
    ssize_t mine = readlink("/proc/self/exe", own, sizeof own - 1);
    ssize_t theirs = readlink(path, other, sizeof other - 1);
    if (mine <= 0 || theirs <= 0)
        return false;
    own[mine] = other[theirs] = '\0';
    size_t length = strlen(own), extra = sizeof deleted - 1;
    if (length > extra && strcmp(own + length - extra, deleted) == 0)
        own[length - extra] = '\0';
    length = strlen(other);
    if (length > extra && strcmp(other + length - extra, deleted) == 0)
        other[length - extra] = '\0';
    const char *a = strrchr(own, '/'), *b = strrchr(other, '/');
    return a && b && strcmp(a, b) == 0;
}

static nr_code refuse_to_signal(const char *folder, pid_t pid, nr_err *err)
{
    if (pid > 0)
        return nr_fail(err, NR_BAD, folder, 0,
                       "process %ld holds the lock of this run and is no recorder; it was left "
                       "alone",
                       (long)pid);
    return nr_fail(err, NR_BAD, folder, 0,
                   "the lock of this run is held, but not by a recorder; nothing was stopped");
}

nr_code nr_state_signal(const char *folder, int signal, pid_t *pid, nr_err *err)
{
    nr_state state;
    *pid = nr_state_holder(folder);
    if (*pid == 0)
        return nr_fail(err, NR_CANNOT, folder, 0, "nothing records into this folder");
    nr_code code = nr_state_read(folder, &state, err);
    if (code != NR_OK)
        return code;
    if (*pid == NR_STATE_STRANGER || state.pid != (long)*pid)
        return refuse_to_signal(folder, *pid, err);
    /* The descriptor pins the process: should it end now, the number is not another's. */
    int fd = pidfd_open(*pid, 0);
    if (fd < 0 && errno == ESRCH)
        return nr_fail(err, NR_CANNOT, folder, 0, "nothing records into this folder");
    int failed = 0;
    if (!is_same_program(*pid) || nr_state_holder(folder) != *pid)
        code = refuse_to_signal(folder, *pid, err);
    else
        failed = fd >= 0 ? pidfd_send_signal(fd, signal, NULL, 0) : kill(*pid, signal);
    int why = errno;
    if (fd >= 0)
        close(fd);
    return failed ? nr_fail_errno(err, NR_BAD, folder, why, "cannot stop process %ld", (long)*pid)
                  : code;
}

bool nr_state_ask(const char *folder)
{
    char path[NR_ERR_FILE];
    if (!state_path(folder, NR_STATE_STOP, path, sizeof path)) {
        errno = ENAMETOOLONG;
        return false;
    }
    int fd = open(path, O_WRONLY | O_CREAT | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK, 0600);
    return fd >= 0 && close(fd) == 0;
}

/* An empty file and nothing else: what somebody keeps under that name is left to him. */
bool nr_state_is_asked(const char *folder)
{
    char path[NR_ERR_FILE];
    struct stat about;
    return state_path(folder, NR_STATE_STOP, path, sizeof path) && lstat(path, &about) == 0 &&
           S_ISREG(about.st_mode) && about.st_size == 0;
}

bool nr_state_take_request(const char *folder)
{
    char path[NR_ERR_FILE];
    return nr_state_is_asked(folder) && state_path(folder, NR_STATE_STOP, path, sizeof path) &&
           unlink(path) == 0;
}

void nr_boot_id(char *out, size_t size)
{
    out[0] = '\0';
    int fd = open("/proc/sys/kernel/random/boot_id", O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return;
    ssize_t n = read(fd, out, size - 1);
    close(fd);
    out[n > 0 ? n : 0] = '\0';
    nr_trim(out);
}
