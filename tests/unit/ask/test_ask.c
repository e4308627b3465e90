/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How noonfit is asked, by programs of a few lines in its place and a clock of the test: when, for
 * how long, what becomes of each way to end, how much of what it says is kept, and what it has of
 * ours. */
#include "logger/ask/ask.h"
#include "tests/unit/command_run.h"

#include <poll.h>
#include <signal.h>
#include <sys/resource.h>

static nr_ask a;
static char *program;

#define ANSWER                                                                                     \
    "{\"parameters\":{\"eta0\":{\"value\":0.7,\"lo95\":0.6,\"hi95\":0.8}},\"findings\":[{"         \
    "\"severity\":\"note\",\"text\":\"%s\"}]}"

static void saying(const char *script)
{
    static char text[4000];
    snprintf(text, sizeof text, "#!/bin/sh\n%s\n", script);
    program = scratch_file("noonfit", text);
    ck_assert_int_eq(chmod(program, 0755), 0);
    ck_assert_int_eq(nr_ask_open(&a, "/run", program, NULL), NR_OK);
}

/* Waits for something to do, and does it. True: the interim has changed. */
static bool step(double now_s)
{
    struct pollfd fd = {.fd = a.poll_fd, .events = POLLIN};
    poll(&fd, 1, 50); /* an old kernel, or a checker, does not say that it ended */
    return nr_ask_step(&a, 5, now_s);
}

/* Steps at this time until the turn is another. */
static void until(nr_ask_turn turn, double now_s)
{
    for (int i = 0; i < 100000 && a.turn != turn; i++)
        step(now_s);
    ck_assert_int_eq(a.turn, turn);
}

static void round_of(const char *script)
{
    saying(script);
    ck_assert(!nr_ask_step(&a, 5, 100));
    until(NR_ASK_REST, 100);
    nr_ask_close(&a);
}

/* --- when ------------------------------------------------------------------------------------- */

/* Ten seconds between rounds at least; fifteen times as long as the last one took. */
START_TEST(rests)
{
    static const struct {
        double took_s, rest_s;
    } of[] = {{0, 10}, {0.66, 10}, {0.7, 10.5}, {60, 900}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        saying("exit 3");
        ck_assert(!nr_ask_step(&a, 0, 100)); /* no rows */
        ck_assert_int_eq(a.turn, NR_ASK_REST);
        ck_assert(!nr_ask_step(&a, 5, 100));
        ck_assert_int_eq(a.turn, NR_ASK_INSPECT);
        until(NR_ASK_FIT, 100);
        ck_assert(!a.answered);
        until(NR_ASK_REST, 100 + of[i].took_s);
        ck_assert(a.answered);
        double due_s = 100 + of[i].took_s + of[i].rest_s;
        NEAR(a.due_s, due_s, 1e-9);
        nr_ask_step(&a, 5, due_s + 1); /* nothing new */
        ck_assert_int_eq(a.turn, NR_ASK_REST);
        nr_ask_step(&a, 6, due_s - 0.01);
        ck_assert_int_eq(a.turn, NR_ASK_REST);
        nr_ask_step(&a, 6, due_s + 1e-6);
        ck_assert_int_eq(a.turn, NR_ASK_INSPECT);
        ck_assert_uint_eq(a.rows, 6);
        nr_ask_close(&a);
    }
}
END_TEST

/* Two minutes are given to each child, and not to both together. */
START_TEST(patience)
{
    saying("[ $1 = inspect ] && read x <go; exec sleep 100");
    NEAR(a.limit_s, 120, 0);
    nr_ask_step(&a, 5, 100);
    ck_assert_int_gt(a.pid, 1);
    nr_ask_step(&a, 5, 220); /* not over it */
    ck_assert(!a.too_long);
    for (int i = 0; i < 1000 && a.turn == NR_ASK_INSPECT; i++) { /* there is no `go`: it ends */
        struct pollfd fd = {.fd = a.poll_fd, .events = POLLIN};
        ck_assert(!a.too_long);
        poll(&fd, 1, 20);
        if (a.turn == NR_ASK_INSPECT && i == 0)
            kill(a.pid, SIGKILL);
        nr_ask_step(&a, 5, 219.5);
    }
    ck_assert_int_eq(a.turn, NR_ASK_FIT);
    NEAR(a.began_s, 219.5, 0);
    nr_ask_step(&a, 5, 339.4);
    ck_assert(!a.too_long && a.turn == NR_ASK_FIT);
    ck_assert(!nr_ask_step(&a, 5, 339.6));
    ck_assert(a.too_long);
    until(NR_ASK_REST, 340);
    ck_assert_str_eq(a.interim.why_not, "noonfit took too long over this record");
    nr_ask_close(&a);
}
END_TEST

/* --- how it ends ------------------------------------------------------------------------------ */

START_TEST(endings)
{
    static const struct {
        const char *script, *words;
    } of[] = {{"exit 127", "noonfit is not beside noonlog and not in PATH: no estimate"},
              {"exit 126", "noonfit is not beside noonlog and not in PATH: no estimate"},
              {"exit 0", "noonfit gave no answer that can be read"},
              {"echo nothing", "noonfit gave no answer that can be read"},
              {"kill -KILL $$", "noonfit gave no answer that can be read"},
              {"kill -TERM $$; echo '" ANSWER "'", "noonfit gave no answer that can be read"},
              {"echo 'noonfit: /run: too few' >&2; exit 125", "too few"},
              {"echo 'noonfit: too few' >&2; echo more >&2; exit 2", "too few"}};
    sigset_t term;
    sigemptyset(&term);
    sigaddset(&term, SIGTERM);
    sigprocmask(SIG_BLOCK, &term, NULL); /* of ours, not of the child's */
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        round_of(of[i].script);
        ck_assert(a.answered && !a.interim.fitted);
        ck_assert_msg(strcmp(a.interim.why_not, of[i].words) == 0, "%s: %s", of[i].script,
                      a.interim.why_not);
    }
}
END_TEST

/* Findings are those of inspect, numbers those of fit; each is asked once, with these words. */
START_TEST(whose_words)
{
    char script[1000];
    snprintf(script, sizeof script,
             "echo \"$# $*\" >>%s\n[ $1 = inspect ] && echo '" ANSWER
             "' || echo '{\"parameters\":{},\"findings\":7}'",
             in_scratch("asked"), "by inspect");
    round_of(script);
    ck_assert(a.interim.fitted);
    ck_assert_uint_eq(a.interim.findings, 1);
    ck_assert_str_eq(a.interim.finding[0].text, "by inspect");
    ck_assert_str_eq(scratch_read("asked"), "4 inspect --json -- /run\n4 fit --json -- /run\n");
}
END_TEST

/* --- how much --------------------------------------------------------------------------------- */

/* Some four million bytes are read; more is too long. */
START_TEST(long_answers)
{
    static const struct {
        long bytes;
        bool fits;
    } of[] = {{4000000, true}, {4300000, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char script[1000], *file = scratch_file("answer", "");
        FILE *to = fopen(file, "w");
        fprintf(to, ANSWER "%*s", "x", (int)of[i].bytes, "\n");
        fclose(to);
        snprintf(script, sizeof script, "exec cat %s", file);
        round_of(script);
        ck_assert_msg(a.interim.fitted == of[i].fits, "%ld: %s", of[i].bytes, a.interim.why_not);
        if (!of[i].fits)
            ck_assert_str_eq(a.interim.why_not, "noonfit took too long over this record");
    }
}
END_TEST

/* Of what it complains of the first words are kept; the rest is read, so that it can end. */
START_TEST(long_complaints)
{
    round_of(
        "printf 'noonfit: /run: first' >&2; head -c 200000 /dev/zero | tr '\\0' x >&2; exit 1");
    ck_assert(strncmp(a.interim.why_not, "firstxxx", 8) == 0);
    ck_assert_uint_eq(a.err_length, sizeof a.err);
    ck_assert_uint_eq(strlen(a.interim.why_not), NR_INTERIM_TEXT - 1);
    round_of("echo 'noonfit: /run: short' >&2; exit 1");
    ck_assert_uint_eq(a.err_length, 21);
}
END_TEST

/* --- what it has of ours ---------------------------------------------------------------------- */

/* No input, none of our files, and less of the processor. */
START_TEST(its_surroundings)
{
    char script[1000];
    ck_assert_int_eq(dup2(STDERR_FILENO, 57), 57);
    snprintf(script, sizeof script,
             "read word; open=none; [ -e /proc/$$/fd/57 ] && open=57\n"
             "printf '" ANSWER "' \"got [$word] open $open nice $(nice)\"",
             "%s");
    round_of(script);
    ck_assert_uint_eq(a.interim.findings, 1);
    char expected[100];
    int own = getpriority(PRIO_PROCESS, 0);
    snprintf(expected, sizeof expected, "got [] open none nice %d",
             own > 10 && geteuid() ? own : 10);
    ck_assert_str_eq(a.interim.finding[0].text, expected);
}
END_TEST

START_TEST(names)
{
    char longest[NR_ERR_FILE + 2];
    for (int n = NR_ERR_FILE - 2; n < NR_ERR_FILE + 2; n++) {
        nr_err err = {0};
        snprintf(longest, sizeof longest, "%0*d", n, 0);
        ck_assert_int_eq(nr_ask_open(&a, longest, "x", &err), n < NR_ERR_FILE ? NR_OK : NR_BAD);
        if (n < NR_ERR_FILE)
            nr_ask_close(&a);
        else
            SAYS(err.text, "too long");
    }
    ck_assert_int_eq(nr_ask_open(&a, "/run", NULL, NULL), NR_OK); /* beside us, or in PATH */
    ck_assert(strcmp(a.program, "noonfit") == 0 || strstr(a.program, "/noonfit"));
    nr_ask_close(&a);
    ck_assert_int_eq(a.poll_fd, -1);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {rests,        patience,        endings,          whose_words,
                                  long_answers, long_complaints, its_surroundings, names,
                                  NULL};
    return run_tests_in("how noonfit is asked", tests, scratch_make, scratch_remove);
}
