/* SPDX-License-Identifier: GPL-3.0-or-later */
/* gnuplot gets the script through a socket pair: a write to a socket can be told not to raise
 * SIGPIPE when gnuplot dies early, which for a pipe would need the process's signal mask. Its
 * complaints go to an unlinked file, so that neither side can block the other. */
#include "plots/pipe.h"

#include "logger/base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

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

/* A child that has gone away is told by its exit status, not here. */
static void feed(int to, const char *script, size_t length)
{
    while (length > 0) {
        ssize_t n = send(to, script, length, MSG_NOSIGNAL);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            break;
        script += n;
        length -= (size_t)n;
    }
    close(to);
}

static int wait_for(pid_t pid)
{
    int status = -1;
    while (waitpid(pid, &status, 0) < 0)
        if (errno != EINTR)
            return -1;
    return status;
}

/* The last lines gnuplot wrote, as one cleaned line: that is where the reason stands. */
static void read_complaints(FILE *from, char *text, size_t size)
{
    char raw[600];
    size_t n = 0;
    text[0] = '\0';
    if (fseek(from, 0, SEEK_END) == 0) {
        long end = ftell(from);
        (void)fseek(from, end > (long)sizeof raw ? end - (long)sizeof raw : 0, SEEK_SET);
        n = fread(raw, 1, sizeof raw, from);
    }
    size_t kept = 0;
    for (size_t i = 0; i < n; i++) {
        char c = raw[i] == '\n' || raw[i] == '\t' ? ' ' : raw[i];
        if (c != ' ' || (kept > 0 && raw[kept - 1] != ' '))
            raw[kept++] = c;
    }
    nr_clean(text, size, raw, kept);
    (void)nr_trim(text);
}

static nr_code judge(int status, const char *program, const char *complaints, const char *path,
                     nr_err *err)
{
    if (status == 0)
        return NR_OK;
    if (status != -1 && WIFSIGNALED(status))
        return nr_fail(err, NR_BAD, path, 0, "%s was killed by signal %d: %s", program,
                       WTERMSIG(status), complaints);
    return nr_fail(err, NR_BAD, path, 0, "%s could not draw this: %s", program,
                   complaints[0] != '\0' ? complaints : "it gave no reason");
}

static nr_code draw(const char *program, const char *script, size_t length, int out,
                    const char *path, nr_err *err)
{
    child c = {.pid = -1, .script = -1};
    char complaints[600];
    FILE *said = tmpfile();
    if (said == NULL)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot make a temporary file");
    (void)fcntl(fileno(said), F_SETFD, FD_CLOEXEC);
    int failed = start(program, out, fileno(said), &c);
    if (failed == 0) {
        feed(c.script, script, length);
        int status = wait_for(c.pid);
        read_complaints(said, complaints, sizeof complaints);
        (void)fclose(said);
        return judge(status, program, complaints, path, err);
    }
    (void)fclose(said);
    if (failed == ENOENT)
        return nr_fail(err, NR_BAD, path, 0,
                       "pictures need gnuplot, and %s was not found; install it with "
                       "\"sudo apt install gnuplot-nox\" (any gnuplot package will do)",
                       program);
    return nr_fail_errno(err, NR_BAD, path, failed, "cannot start %s", program);
}

/* Nothing written is no picture: gnuplot without a plot command ends well, and silently. */
static nr_code keep(int out, const char *temporary, const char *path, nr_err *err)
{
    off_t size = lseek(out, 0, SEEK_END);
    if (size <= 0)
        return nr_fail(err, NR_BAD, path, 0, "gnuplot drew nothing");
    if (fsync(out) != 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot write the picture");
    if (rename(temporary, path) != 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot put the picture in its place");
    return NR_OK;
}

nr_code nr_gp_run(const char *program, const char *script, size_t length, const char *path,
                  nr_err *err)
{
    char temporary[NR_ERR_FILE + 32];
    if (strlen(path) >= NR_ERR_FILE)
        return nr_fail(err, NR_BAD, NULL, 0, "the picture's path is too long");
    (void)snprintf(temporary, sizeof temporary, "%s.%ld.part", path, (long)getpid());
    int out = open(temporary, O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0666);
    if (out < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot write the picture");
    nr_code code = draw(program != NULL ? program : "gnuplot", script, length, out, path, err);
    if (code == NR_OK)
        code = keep(out, temporary, path, err);
    if (code != NR_OK)
        (void)unlink(temporary);
    (void)close(out);
    return code;
}
