/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/noonlog/awake.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/* A refusal comes within this; a child that lives on has what it asked for. */
#define SETTLED_S 3.0

extern char **environ;

static double steady_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/* Returns an errno value. */
static int ask(nr_awake *a)
{
    char program[] = "systemd-inhibit", what[] = "--what=sleep:idle:handle-lid-switch",
         less[] = "--what=sleep:idle", who[] = "--who=noonlog", why[] = "--why=records a test",
         mode[] = "--mode=block", until[] = "cat";
    char *const arguments[] = {program, a->lid ? what : less, who, why, mode, until, NULL};
    int ends[2];
    sigset_t none;
    posix_spawn_file_actions_t actions;
    posix_spawnattr_t attributes;
    if (pipe2(ends, O_CLOEXEC) != 0)
        return errno;
    sigemptyset(&none);
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, ends[0], STDIN_FILENO);
    posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawnattr_init(&attributes);
    posix_spawnattr_setsigmask(&attributes, &none);
    /* A group of its own: Ctrl-C is for the recorder, which then closes the pipe. */
    posix_spawnattr_setpgroup(&attributes, 0);
    posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETPGROUP);
    int failed = posix_spawnp(&a->child, program, &actions, &attributes, arguments, environ);
    posix_spawn_file_actions_destroy(&actions);
    posix_spawnattr_destroy(&attributes);
    close(ends[0]);
    a->pipe = ends[1];
    if (failed) {
        close(a->pipe);
        a->pipe = -1;
        a->child = 0;
    }
    a->from_s = steady_s();
    return failed;
}

void nr_awake_start(nr_awake *a)
{
    *a = (nr_awake){.pipe = -1, .lid = true};
    ask(a);
}

bool nr_awake_news(nr_awake *a, char *text, size_t size)
{
    if (a->told)
        return false;
    bool refused = a->child == 0 || waitpid(a->child, NULL, WNOHANG) == a->child;
    if (refused && a->child != 0 && a->lid) { /* perhaps only the lid is not ours to ask for */
        close(a->pipe);
        a->lid = false;
        ask(a);
        return false;
    }
    if (refused) {
        a->child = 0;
        a->is = NR_AWAKE_NOT;
        snprintf(text, size,
                 "the computer is not kept awake (there is no systemd-inhibit, or no login manager "
                 "that grants it): see to it that it does not go to sleep");
    } else if (steady_s() - a->from_s > SETTLED_S) {
        a->is = a->lid ? NR_AWAKE_LID : NR_AWAKE_KEPT;
        snprintf(text, size, "the computer is kept awake while it records%s",
                 a->lid ? ", also with its lid closed" : "; do not close its lid");
    } else {
        return false;
    }
    a->told = true;
    return true;
}

void nr_awake_end(nr_awake *a)
{
    if (a->pipe >= 0)
        close(a->pipe);
    if (a->child > 1)
        waitpid(a->child, NULL, 0);
    a->pipe = -1;
    a->child = 0;
}
