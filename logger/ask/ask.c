/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/ask/ask.h"

#include "logger/base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/epoll.h>
#include <sys/pidfd.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

/* A single-board computer fits a day's record in well under a minute. */
#define LIMIT_S 120.0
/* Between two rounds: at least so long, and so many times as long as the last one took. */
#define REST_S 10.0
#define REST_TIMES 15.0
#define OUT_MOST 4000000
#define NICENESS 10

/* --- where it is --------------------------------------------------------------------------- */

static void find_program(char out[NR_ERR_FILE])
{
    char self[NR_ERR_FILE - 16];
    ssize_t n = readlink("/proc/self/exe", self, sizeof self - 1);
    if (n > 0) {
        self[n] = '\0';
        char *slash = strrchr(self, '/');
        if (slash) {
            *slash = '\0';
            snprintf(out, NR_ERR_FILE, "%s/noonfit", self);
            if (access(out, X_OK) == 0)
                return;
        }
    }
    nr_copy(out, NR_ERR_FILE, "noonfit");
}

bool nr_ask_open(nr_ask *a, const char *folder, const char *program)
{
    memset(a, 0, sizeof *a);
    a->out_fd = a->err_fd = a->pid_fd = -1;
    a->limit_s = LIMIT_S;
    if (program)
        nr_copy(a->program, sizeof a->program, program);
    else
        find_program(a->program);
    a->poll_fd = epoll_create1(EPOLL_CLOEXEC);
    return a->poll_fd >= 0 && nr_copy(a->folder, sizeof a->folder, folder);
}

/* --- the child ----------------------------------------------------------------------------- */

/* Between fork and exec. */
static void become_noonfit(const nr_ask *a, const char *command, int out, int err)
{
    sigset_t none;
    char option[] = "--json", end[] = "--", name[16], folder[NR_ERR_FILE], program[] = "noonfit";
    nr_copy(name, sizeof name, command);
    nr_copy(folder, sizeof folder, a->folder);
    char *const argv[] = {program, name, option, end, folder, NULL};
    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, NULL);
    signal(SIGPIPE, SIG_DFL);
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    setpriority(PRIO_PROCESS, 0, NICENESS);
    int nothing = open("/dev/null", O_RDONLY);
    if (nothing < 0 || dup2(nothing, 0) < 0 || dup2(out, 1) < 0 || dup2(err, 2) < 0)
        _exit(126);
    close_range(3, ~0U, 0); /* connections and files of ours are none of its business */
    execvp(a->program, argv);
    _exit(127);
}

static bool add(const nr_ask *a, int fd)
{
    struct epoll_event event = {.events = EPOLLIN, .data.fd = fd};
    return epoll_ctl(a->poll_fd, EPOLL_CTL_ADD, fd, &event) == 0;
}

static void shut(int *fd)
{
    if (*fd >= 0)
        close(*fd); /* takes it out of the epoll set: nobody else has it open */
    *fd = -1;
}

static void shut_all(nr_ask *a)
{
    shut(&a->out_fd);
    shut(&a->err_fd);
    shut(&a->pid_fd);
    a->pid = 0;
}

static void end_child(nr_ask *a)
{
    if (a->pid > 0) {
        kill(a->pid, SIGKILL);
        while (waitpid(a->pid, NULL, 0) < 0 && errno == EINTR)
            ;
    }
    shut_all(a);
}

static bool start(nr_ask *a, const char *command, double now_s)
{
    int out[2] = {-1, -1}, err[2] = {-1, -1};
    a->out_length = a->err_length = 0;
    a->too_long = false;
    a->began_s = now_s;
    if (pipe2(out, O_CLOEXEC) == 0 && pipe2(err, O_CLOEXEC) == 0)
        a->pid = fork();
    else
        a->pid = -1;
    if (a->pid == 0)
        become_noonfit(a, command, out[1], err[1]);
    shut(&out[1]);
    shut(&err[1]);
    a->out_fd = out[0];
    a->err_fd = err[0];
    if (a->pid < 0) {
        shut_all(a);
        return false;
    }
    a->pid_fd = pidfd_open(a->pid, 0);
    fcntl(a->out_fd, F_SETFL, O_NONBLOCK);
    fcntl(a->err_fd, F_SETFL, O_NONBLOCK);
    if (a->pid_fd >= 0 && add(a, a->out_fd) && add(a, a->err_fd) && add(a, a->pid_fd))
        return true;
    end_child(a);
    return false;
}

static void read_out(nr_ask *a)
{
    while (a->out_fd >= 0) {
        if (a->out_room - a->out_length < 65536) {
            char *more = a->out_room < OUT_MOST ? realloc(a->out, a->out_room + 262144) : NULL;
            if (!more) {
                a->too_long = true;
                return;
            }
            a->out = more;
            a->out_room += 262144;
        }
        ssize_t n = read(a->out_fd, a->out + a->out_length, a->out_room - a->out_length);
        if (n <= 0) {
            if (n == 0)
                shut(&a->out_fd);
            return;
        }
        a->out_length += (size_t)n;
    }
}

/* Its first words; what goes on is thrown away. */
static void read_err(nr_ask *a)
{
    char more[4096];
    while (a->err_fd >= 0) {
        ssize_t n = read(a->err_fd, more, sizeof more);
        if (n <= 0) {
            if (n == 0)
                shut(&a->err_fd);
            return;
        }
        size_t room = sizeof a->err - a->err_length, take = (size_t)n < room ? (size_t)n : room;
        memcpy(a->err + a->err_length, more, take);
        a->err_length += take;
    }
}

/* Its exit status; -1: it still runs; -2: a signal ended it. */
static int status_of(nr_ask *a)
{
    int status = 0;
    if (waitpid(a->pid, &status, WNOHANG) != a->pid)
        return -1;
    a->pid = 0;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -2;
}

/* --- what it says -------------------------------------------------------------------------- */

static void say_trouble(nr_ask *a, const char *text)
{
    nr_interim_refused(&a->interim, text, strlen(text), a->folder);
}

static void take_fit(nr_ask *a, int status)
{
    if (a->too_long)
        say_trouble(a, "noonfit took too long over this record");
    else if (status == 127 || status == 126)
        say_trouble(a, "noonfit is not beside noonlog and not in PATH: no estimate");
    else if (status == 0 && nr_interim_fit(&a->interim, a->out, a->out_length))
        return;
    else if (status == 0 || status == -2)
        say_trouble(a, "noonfit gave no answer that can be read");
    else
        nr_interim_refused(&a->interim, a->err, a->err_length, a->folder);
}

/* What the child that just ended said; then the next one, or rest. */
static bool next_turn(nr_ask *a, int status, double now_s)
{
    if (a->turn == NR_ASK_INSPECT) {
        nr_interim_inspect(&a->interim, a->out, a->out_length);
        a->turn = NR_ASK_FIT;
        if (status != 127 && start(a, "fit", now_s))
            return true;
    }
    take_fit(a, status);
    a->turn = NR_ASK_REST;
    a->answered = true;
    double took_s = now_s - a->round_began_s;
    a->due_s = now_s + (took_s * REST_TIMES > REST_S ? took_s * REST_TIMES : REST_S);
    free(a->out);
    a->out = NULL;
    a->out_room = a->out_length = 0;
    return true;
}

static bool begin_round(nr_ask *a, unsigned long rows, double now_s)
{
    if (rows == 0 || rows == a->rows || now_s < a->due_s)
        return false;
    a->rows = rows;
    a->round_began_s = now_s;
    a->turn = NR_ASK_INSPECT;
    return start(a, "inspect", now_s) ? false : next_turn(a, -2, now_s);
}

bool nr_ask_step(nr_ask *a, unsigned long rows, double now_s)
{
    if (a->turn == NR_ASK_REST)
        return begin_round(a, rows, now_s);
    read_out(a);
    read_err(a);
    int status = status_of(a);
    if (status == -1 && (a->too_long || now_s - a->began_s > a->limit_s)) {
        a->too_long = true;
        kill(a->pid, SIGKILL); /* the next step finds it ended */
        return false;
    }
    if (status == -1)
        return false;
    read_out(a); /* what it said between the reading and its end */
    read_err(a);
    shut_all(a);
    return next_turn(a, status, now_s);
}

void nr_ask_close(nr_ask *a)
{
    end_child(a);
    shut(&a->poll_fd);
    free(a->out);
    a->out = NULL;
}
