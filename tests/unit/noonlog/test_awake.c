/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A computer kept awake, with a systemd-inhibit of the test's own; and a recorder that goes to the
 * background: what is said in front, and what stands in the folder. */
#include "logger/noonlog/awake.h"
#include "logger/noonlog/background.h"
#include "logger/noonlog/commands.h"
#include "tests/unit/command_run.h"

#include <poll.h>
#include <sys/wait.h>

static nr_awake a;
static char news[300];

/* Notes what it was asked for, and what it says becomes of it: `words` of a shell. */
static void granting(const char *words)
{
    char script[600], path[200];
    snprintf(script, sizeof script, "#!/bin/sh\necho \"$*\" >>%s\n%s\n", in_scratch("asked"),
             words);
    char *program = scratch_file("bin/systemd-inhibit", script);
    ck_assert_int_eq(chmod(program, 0755), 0);
    snprintf(path, sizeof path, "%s:/usr/bin:/bin", in_scratch("bin"));
    setenv("PATH", path, 1);
}

static void set_up(void)
{
    scratch_make();
    scratch_folder("bin");
}

/* What is told, once a child that refuses has ended. */
static bool told(void)
{
    for (int i = 0; i < 2000; i++) {
        if (nr_awake_news(&a, news, sizeof news))
            return true;
        poll(NULL, 0, 1);
    }
    return false;
}

static void asked_for(const char *lines)
{
    const char *asked = "";
    for (int i = 0; i < 2000 && strlen(asked) < strlen(lines); i++) {
        poll(NULL, 0, i > 0 ? 1 : 0);
        asked = scratch_read("asked");
    }
    ck_assert_str_eq(asked, lines);
}

#define WITH_LID                                                                                   \
    "--what=sleep:idle:handle-lid-switch --who=noonlog --why=records a test --mode=block cat\n"
#define WITHOUT_LID "--what=sleep:idle --who=noonlog --why=records a test --mode=block cat\n"

/* It lives: after three seconds that is what was asked for. It ends when the recorder does. */
START_TEST(granted)
{
    granting("exec cat");
    nr_awake_start(&a);
    asked_for(WITH_LID);
    pid_t child = a.child;
    ck_assert_int_gt(child, 1);
    ck_assert_int_ne(getpgid(child), getpgrp()); /* Ctrl-C is not for it */
    ck_assert(!nr_awake_news(&a, news, sizeof news));
    a.from_s -= 2.5;
    bool early = nr_awake_news(&a, news, sizeof news);
    a.from_s -= 0.6;
    ck_assert(early || nr_awake_news(&a, news, sizeof news));
    ck_assert_str_eq(news, "the computer is kept awake while it records, also with its lid closed");
    ck_assert_int_eq(a.is, NR_AWAKE_LID);
    ck_assert(!nr_awake_news(&a, news, sizeof news)); /* once */
    nr_awake_end(&a);
    ck_assert(a.pipe == -1 && a.child == 0);
    ck_assert(waitpid(child, NULL, WNOHANG) < 0); /* it is gone */
}
END_TEST

START_TEST(but_for_the_lid)
{
    granting("case \"$*\" in *lid*) exit 1 ;; esac\nexec cat");
    nr_awake_start(&a);
    for (int i = 0; i < 2000 && a.lid; i++) {
        ck_assert(!nr_awake_news(&a, news, sizeof news));
        poll(NULL, 0, 1);
    }
    asked_for(WITH_LID WITHOUT_LID);
    a.from_s -= 3.1;
    ck_assert(nr_awake_news(&a, news, sizeof news));
    ck_assert_str_eq(news, "the computer is kept awake while it records; do not close its lid");
    ck_assert_int_eq(a.is, NR_AWAKE_KEPT);
    nr_awake_end(&a);
}
END_TEST

START_TEST(refused)
{
    granting("exit 1");
    nr_awake_start(&a);
    ck_assert(told());
    SAYS(news, "the computer is not kept awake (there is no systemd-inhibit");
    ck_assert_int_eq(a.is, NR_AWAKE_NOT);
    asked_for(WITH_LID WITHOUT_LID);
    nr_awake_end(&a);
    setenv("PATH", in_scratch("nowhere"), 1); /* there is none */
    nr_awake_start(&a);
    ck_assert(a.child != 0 || a.pipe == -1); /* an emulator learns it from the child's end */
    ck_assert(told());
    SAYS(news, "is not kept awake");
    nr_awake_end(&a);
}
END_TEST

/* --- the background --------------------------------------------------------------------------- */

/* Into the background, where the child says `how` and goes; what stands on standard output. */
static const char *goes(int how, int *status)
{
    static char text[COMMAND_SAID], errors[COMMAND_SAID];
    nr_background b = {.pipe = -1};
    int out = command_file(""), bad = command_file("");
    int out_before = command_turn(STDOUT_FILENO, out),
        bad_before = command_turn(STDERR_FILENO, bad);
    bool front = nr_background_fork(&b, status);
    if (!front) {
        nr_err err = {0};
        if (how == 2)
            _exit(3);
        if (how == 0)
            nr_background_ready(&b, in_scratch("run"));
        if (how == 1) {
            nr_fail(&err, NR_CANNOT, NULL, 0, "the port is not there");
            _exit(nr_background_failed(&b, &err) ? 0 : 1);
        }
        if (how == 0 && (b.pipe != -1 || getsid(0) != getpid()))
            _exit(1);
        fputs("a word behind\n", stdout);
        fputs("a message\n", stderr);
        fflush(NULL);
        _exit(nr_background_failed(&b, &err)); /* nobody waits any more */
    }
    command_back(STDERR_FILENO, bad_before, bad, errors);
    command_back(STDOUT_FILENO, out_before, out, text);
    return how ? errors : text;
}

START_TEST(into_the_background)
{
    char said_there[200];
    long pid;
    int status = 99, ended = 1;
    scratch_folder("run");
    scratch_folder("run/.noonlog");
    const char *text = goes(0, &status);
    ck_assert_int_eq(status, NR_OK);
    ck_assert_int_eq(sscanf(strrchr(text, '('), "(process %ld)\n", &pid), 1);
    snprintf(said_there, sizeof said_there, "recording into %s in the background (process %ld)\n",
             in_scratch("run"), pid);
    ck_assert_str_eq(text, said_there);
    ck_assert_int_eq(waitpid((pid_t)pid, &ended, 0), pid);
    ck_assert(WIFEXITED(ended) && WEXITSTATUS(ended) == 0);
    ck_assert_str_eq(scratch_read("run/.noonlog/messages"), "a message\n");
}
END_TEST

START_TEST(not_into_it)
{
    int status = 99;
    SAYS(goes(1, &status), "the port is not there");
    ck_assert_int_eq(status, NR_CANNOT);
    nr_background nobody = {.pipe = -1};
    nr_background_ready(&nobody, in_scratch("run")); /* standard error stays ours */
    ck_assert_int_ne(access(in_scratch("run"), F_OK), 0);
    nr_err err = {0};
    ck_assert(!nr_background_failed(&nobody, &err));
}
END_TEST

START_TEST(dies_on_the_way)
{
    int status = 99;
    SAYS(goes(2, &status), "the recorder ended before it could say why");
    ck_assert_int_eq(status, NR_BAD);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {granted,     but_for_the_lid, refused, into_the_background,
                                  not_into_it, dies_on_the_way, NULL};
    return run_tests_in("awake and in the background", tests, set_up, scratch_remove);
}
