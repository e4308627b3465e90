/* SPDX-License-Identifier: GPL-3.0-or-later */
/* gnuplot gets the script through a socket pair: a write to a socket can be told not to raise
 * SIGPIPE when gnuplot dies early, which for a pipe would need the process's signal mask. What it
 * writes, picture and complaints, goes to memory, so that neither side can block the other and no
 * disk can cut it short: gnuplot does not look whether its writes worked, we do. */
#include "plots/pipe.h"

#include "logger/base/replace.h"
#include "logger/base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/* How often a child that draws is looked at; a picture takes some 100 ms. */
#define STEP_MS 5

extern char **environ;

typedef struct child {
    pid_t pid;
    int script; /* our end of the socket pair */
} child;

/* Starts program with the given descriptors as its standard streams. Returns an errno value. */
static int start(const char *program, int out, int complaints, child *c)
{
    int ends[2];
    posix_spawn_file_actions_t actions;
    posix_spawnattr_t attributes;
    sigset_t none, pipe_only;
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends) != 0)
        return errno;
    sigemptyset(&none);
    sigemptyset(&pipe_only);
    sigaddset(&pipe_only, SIGPIPE);
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, ends[1], STDIN_FILENO);
    posix_spawn_file_actions_adddup2(&actions, out, STDOUT_FILENO);
    posix_spawn_file_actions_adddup2(&actions, complaints, STDERR_FILENO);
    posix_spawnattr_init(&attributes);
    posix_spawnattr_setsigmask(&attributes, &none);
    posix_spawnattr_setsigdefault(&attributes, &pipe_only);
    posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF);
    /* -d: no start-up files of the user's, the picture is the same for everyone. No "-" after it:
     * then gnuplot 5.4 would go on after an error. */
    char name[NR_ERR_FILE], option[] = "-d";
    (void)nr_copy(name, sizeof name, program);
    char *const arguments[] = {name, option, NULL};
    int failed = posix_spawnp(&c->pid, program, &actions, &attributes, arguments, environ);
    posix_spawn_file_actions_destroy(&actions);
    posix_spawnattr_destroy(&attributes);
    close(ends[1]);
    c->script = ends[0];
    if (failed != 0)
        close(ends[0]);
    return failed;
}

static double steady_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/* A child that has gone away is told by its exit status, and one that reads no more by the time:
 * neither here. */
static void feed(int to, const char *script, size_t length, double until_s)
{
    struct pollfd p = {.fd = to, .events = POLLOUT};
    while (length > 0) {
        double left_ms = (until_s - steady_s()) * 1000;
        int ready = left_ms > 0 ? poll(&p, 1, (int)ceil(left_ms)) : 0;
        if (ready < 0 && errno == EINTR)
            continue;
        if (ready <= 0)
            break;
        ssize_t n = send(to, script, length, MSG_NOSIGNAL | MSG_DONTWAIT);
        if (n < 0 && (errno == EINTR || errno == EAGAIN))
            continue;
        if (n <= 0)
            break;
        script += n;
        length -= (size_t)n;
    }
    close(to);
}

/* Waits until the child has ended; when it is over time it is ended. */
static int wait_for(pid_t pid, double until_s, bool *late)
{
    int status = -1;
    for (;;) {
        pid_t done = waitpid(pid, &status, *late ? 0 : WNOHANG);
        if (done == pid)
            return status;
        if (done < 0 && errno != EINTR)
            return -1;
        if (!*late && steady_s() > until_s) {
            *late = true;
            kill(pid, SIGKILL);
        } else if (done == 0) {
            poll(NULL, 0, STEP_MS);
        }
    }
}

/* The last lines gnuplot wrote, as one cleaned line: that is where the reason stands. */
static void read_complaints(int from, char *text, size_t size)
{
    char raw[600];
    off_t end = lseek(from, 0, SEEK_END);
    off_t at = end > (off_t)sizeof raw ? end - (off_t)sizeof raw : 0;
    ssize_t got = pread(from, raw, sizeof raw, at);
    size_t n = got > 0 ? (size_t)got : 0;
    size_t kept = 0;
    for (size_t i = 0; i < n; i++) {
        char c = raw[i] == '\n' || raw[i] == '\t' ? ' ' : raw[i];
        if (c != ' ' || (kept > 0 && raw[kept - 1] != ' '))
            raw[kept++] = c;
    }
    nr_clean(text, size, raw, kept);
    (void)nr_trim(text);
}

/* Where posix_spawn starts a copy of the process first, as POSIX allows and an emulator of another
 * processor does, a program that cannot be started is a child that ends with this. */
#define NOT_STARTED 127

static nr_code not_found(const char *program, const char *path, nr_err *err)
{
    return nr_fail(err, NR_BAD, path, 0,
                   "pictures need gnuplot, and %s was not found; install it with "
                   "\"sudo apt install gnuplot-nox\" (any gnuplot package will do)",
                   program);
}

static nr_code judge(int status, const char *program, const char *complaints, const char *path,
                     nr_err *err)
{
    if (status == 0)
        return NR_OK;
    if (status != -1 && WIFSIGNALED(status))
        return nr_fail(err, NR_BAD, path, 0, "%s was killed by signal %d: %s", program,
                       WTERMSIG(status), complaints);
    if (status != -1 && WEXITSTATUS(status) == NOT_STARTED && complaints[0] == '\0')
        return not_found(program, path, err);
    return nr_fail(err, NR_BAD, path, 0, "%s could not draw this: %s", program,
                   complaints[0] != '\0' ? complaints : "it gave no reason");
}

static nr_code draw(const char *program, const char *script, size_t length, double limit_s, int out,
                    const char *path, nr_err *err)
{
    child c = {.pid = -1, .script = -1};
    char complaints[600];
    bool late = false;
    int said = memfd_create("noonrun-complaints", MFD_CLOEXEC);
    if (said < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot get memory for a picture");
    int failed = start(program, out, said, &c);
    if (failed == 0) {
        double until_s = steady_s() + limit_s;
        feed(c.script, script, length, until_s);
        int status = wait_for(c.pid, until_s, &late);
        read_complaints(said, complaints, sizeof complaints);
        close(said);
        if (late)
            return nr_fail(err, NR_BAD, path, 0, "%s was not done after %.0f s and was ended: %s",
                           program, limit_s, complaints);
        return judge(status, program, complaints, path, err);
    }
    close(said);
    if (failed == ENOENT)
        return not_found(program, path, err);
    return nr_fail_errno(err, NR_BAD, path, failed, "cannot start %s", program);
}

static bool starts_with(const char *text, size_t size, const char *with)
{
    return size >= strlen(with) && memcmp(text, with, strlen(with)) == 0;
}

/* What each format ends with (PNG specification 11.2.5, PDF 1.7 7.5.5, SVG is XML): gnuplot does
 * not look whether its writes worked, and memory ends, too. */
static bool is_whole(const char *picture, size_t size)
{
    static const char png_end[] = "IEND\xae\x42\x60\x82";
    size_t most = size < 1024 ? size : 1024;
    const char *tail = picture + size - most;
    if (starts_with(picture, size, "\x89PNG"))
        return most >= 8 && memcmp(picture + size - 8, png_end, 8) == 0;
    if (starts_with(picture, size, "%PDF"))
        return memmem(tail, most, "%%EOF", 5) != NULL;
    if (starts_with(picture, size, "<?xml"))
        return memmem(tail, most, "</svg>", 6) != NULL;
    return true;
}

/* gnuplot's SVG outlines open marks with a sixth of their radius whatever line width is asked for:
 * half a pixel, which is gone at half the size. Twice that, as the other forms have it. */
static void thicken_outlines(char *picture, size_t size)
{
    static const char thin[] = "stroke-width='0.167'", thick[] = "stroke-width='0.333'";
    if (!starts_with(picture, size, "<?xml"))
        return;
    char *at = picture;
    while ((at = memmem(at, size - (size_t)(at - picture), thin, sizeof thin - 1)) != NULL)
        memcpy(at, thick, sizeof thick - 1);
}

/* Nothing written is no picture: gnuplot without a plot command ends well, and silently. */
static nr_code keep(int out, const char *path, nr_err *err)
{
    off_t size = lseek(out, 0, SEEK_END);
    if (size <= 0)
        return nr_fail(err, NR_BAD, path, 0, "gnuplot drew nothing");
    char *picture = mmap(NULL, (size_t)size, PROT_READ | PROT_WRITE, MAP_PRIVATE, out, 0);
    if (picture == MAP_FAILED)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot get memory for a picture");
    thicken_outlines(picture, (size_t)size);
    nr_code code = is_whole(picture, (size_t)size)
                       ? nr_replace_file(path, picture, (size_t)size, 0666, err)
                       : nr_fail(err, NR_BAD, path, 0, "gnuplot's picture is cut short");
    munmap(picture, (size_t)size);
    return code;
}

nr_code nr_gp_run_within(const char *program, const char *script, size_t length, double limit_s,
                         const char *path, nr_err *err)
{
    if (strlen(path) >= NR_ERR_FILE)
        return nr_fail(err, NR_BAD, NULL, 0, "the picture's path is too long");
    int out = memfd_create("noonrun-picture", MFD_CLOEXEC);
    if (out < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot get memory for a picture");
    nr_code code =
        draw(program != NULL ? program : "gnuplot", script, length, limit_s, out, path, err);
    if (code == NR_OK)
        code = keep(out, path, err);
    (void)close(out);
    return code;
}

nr_code nr_gp_run(const char *program, const char *script, size_t length, const char *path,
                  nr_err *err)
{
    return nr_gp_run_within(program, script, length, NR_GP_LIMIT_S, path, err);
}
