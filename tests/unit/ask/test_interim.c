/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the live views make of noonfit's answers, and how it is asked. */
#include "logger/ask/ask.h"
#include "tests/unit/near.h"

#include <poll.h>
#include <stdbool.h>
#include <sys/stat.h>
#include <unistd.h>

#define QUANTITY(v, lo, hi) "{\"value\":" #v ",\"lo95\":" #lo ",\"hi95\":" #hi "}"

static const char one[] = "{\"collector\":{\"name\":\"stand\"},\"parameters\":{\"eta0\":" QUANTITY(
    0.71, 0.66,
    0.76) ",\"a1\":null},\"energy\":{\"run_efficiency\":" QUANTITY(0.623, 0.58,
                                                                   0.66) "},\"trust\":{\"grade\":"
                                                                         "\"doubtful\"}}";

static const char *stop_words(const nr_interim *interim, size_t i)
{
    static char text[200];
    nr_interim_stop_words(interim, i, true, text, sizeof text);
    return text;
}

START_TEST(a_fit)
{
    static nr_interim interim;
    char text[200];
    ck_assert(nr_interim_fit(&interim, one, strlen(one)));
    ck_assert_uint_eq(interim.collectors, 1);
    ck_assert_str_eq(interim.grade, "doubtful");
    NEAR(interim.collector[0].eta0.hi95, 0.76, 0);
    ck_assert(isnan(interim.collector[0].a1.value));
    ck_assert_str_eq(stop_words(&interim, 0), "if you stop now: eta0 0.71 +- 0.05 (95 %)");
    nr_interim_efficiency_words(&interim, 0, text, sizeof text);
    ck_assert_str_eq(text, "62 % of the sun so far in the water (58 to 66)");
    nr_interim_stop_words(&interim, 0, false, text, sizeof text);
    ck_assert_str_eq(text, "this run: eta0 0.71 +- 0.05 (95 %)");
    ck_assert_str_eq(stop_words(&interim, 1), "");
}
END_TEST

/* Half-widths at both sides of what counts as an answer. */
START_TEST(an_answer_that_is_none)
{
    static nr_interim interim;
    static const char format[] =
        "{\"parameters\":{\"eta0\":{\"value\":0.5,\"lo95\":%.2f,\"hi95\":%.2f}}}";
    char text[200];
    int n = snprintf(text, sizeof text, format, 0.01, 0.99);
    ck_assert(nr_interim_fit(&interim, text, (size_t)n));
    ck_assert_ptr_nonnull(strstr(stop_words(&interim, 0), "+- 0.49"));
    n = snprintf(text, sizeof text, format, -0.01, 1.01);
    ck_assert(nr_interim_fit(&interim, text, (size_t)n));
    ck_assert_ptr_nonnull(strstr(stop_words(&interim, 0), "nothing to tell"));
    nr_interim_efficiency_words(&interim, 0, text, sizeof text);
    ck_assert_str_eq(text, "");
}
END_TEST

START_TEST(several_collectors)
{
    static nr_interim interim;
    char text[2000];
    int n =
        snprintf(text, sizeof text, "{\"collectors\":[%s,%s,7,%s,%s,%s]}", one, one, one, one, one);
    ck_assert(nr_interim_fit(&interim, text, (size_t)n));
    ck_assert_uint_eq(interim.collectors, NR_INTERIM_COLLECTORS);
    ck_assert_str_eq(stop_words(&interim, 3), "stand: if you stop now: eta0 0.71 +- 0.05 (95 %)");
}
END_TEST

START_TEST(garbage_is_no_answer)
{
    static const char *const bad[] = {
        "", "[]", "nonsense", "{\"parameters\":3}", "{", "\"x\"", "{\"collectors\":[]}", "null"};
    static nr_interim interim;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        ck_assert(nr_interim_fit(&interim, one, strlen(one)));
        ck_assert_msg(!nr_interim_fit(&interim, bad[i], strlen(bad[i])), "%s", bad[i]);
        ck_assert(!interim.fitted);
        ck_assert_str_eq(stop_words(&interim, 0), "");
        ck_assert_msg(!nr_interim_inspect(&interim, bad[i], strlen(bad[i])), "%s", bad[i]);
    }
}
END_TEST

START_TEST(a_refusal)
{
    static nr_interim interim;
    static const char said[] = "noonfit: runs/a: no sun: \033[31mgive one\nusage: more\n";
    nr_interim_refused(&interim, said, strlen(said), "runs/a");
    ck_assert_str_eq(interim.why_not, "no sun: ?[31mgive one");
    nr_interim_refused(&interim, "", 0, "runs/a");
    ck_assert_str_eq(interim.why_not, "noonfit ended without a word");
}
END_TEST

START_TEST(findings_grave_ones_first)
{
    static nr_interim interim;
    static const char text[] =
        "{\"findings\":[{\"code\":\"a\",\"severity\":\"note\",\"text\":\"one\"},"
        "{\"code\":\"b\",\"severity\":\"fault\",\"text\":\"two\\u0007\"},5,"
        "{\"code\":\"c\",\"severity\":\"doubt\",\"text\":\"three\"},{\"severity\":\"fault\"}]}";
    ck_assert(nr_interim_inspect(&interim, text, strlen(text)));
    ck_assert_uint_eq(interim.findings, 3);
    ck_assert_str_eq(interim.finding[0].text, "two?");
    ck_assert_str_eq(interim.finding[1].text, "three");
    ck_assert_str_eq(interim.finding[2].text, "one");
}
END_TEST

/* --- the child ----------------------------------------------------------------------------- */

static char program[64];

static void make_program(const char *script)
{
    snprintf(program, sizeof program, "/tmp/test_told.XXXXXX");
    int fd = mkstemp(program);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_ge(dprintf(fd, "#!/bin/sh\n%s\n", script), 0);
    ck_assert_int_eq(fchmod(fd, 0700), 0);
    close(fd);
}

/* Turns until it rests; seconds pass as told. */
static void run_round(nr_ask *ask, unsigned long rows, double from_s, double step_s)
{
    double now_s = from_s;
    nr_ask_step(ask, rows, now_s);
    while (ask->turn != NR_ASK_REST) {
        struct pollfd fd = {.fd = ask->poll_fd, .events = POLLIN};
        poll(&fd, 1, 50);
        nr_ask_step(ask, rows, now_s += step_s);
    }
}

START_TEST(asks_and_rests)
{
    static nr_ask ask;
    char script[1000];
    snprintf(script, sizeof script,
             "[ \"$2 $3 $4\" = '--json -- /run' ] || exit 2\n[ \"$1\" = fit ] && echo '%s' || "
             "echo '{\"findings\":[{\"severity\":\"doubt\",\"text\":\"odd\"}]}'",
             one);
    make_program(script);
    ck_assert(nr_ask_open(&ask, "/run", program));
    ck_assert(!nr_ask_step(&ask, 0, 100)); /* no rows: nothing to ask about */
    ck_assert_int_eq(ask.turn, NR_ASK_REST);
    run_round(&ask, 5, 100, 0);
    ck_assert(ask.answered);
    ck_assert(ask.interim.fitted);
    ck_assert_uint_eq(ask.interim.findings, 1);
    nr_ask_step(&ask, 6, ask.due_s - 0.1); /* not yet */
    ck_assert_int_eq(ask.turn, NR_ASK_REST);
    nr_ask_step(&ask, 5, ask.due_s + 1); /* nothing new */
    ck_assert_int_eq(ask.turn, NR_ASK_REST);
    nr_ask_step(&ask, 6, ask.due_s + 1);
    ck_assert_int_eq(ask.turn, NR_ASK_INSPECT);
    nr_ask_close(&ask); /* with a child at work */
    unlink(program);
}
END_TEST

/* A slow answer means a long rest: the recorder's processor. */
START_TEST(rests_longer_after_a_long_answer)
{
    static nr_ask ask;
    make_program("exit 1");
    ck_assert(nr_ask_open(&ask, "/run", program));
    run_round(&ask, 5, 100, 10);
    ck_assert_double_ge(ask.due_s, 100 + 2 * 10 * 15.0);
    ck_assert_str_eq(ask.interim.why_not, "noonfit ended without a word");
    nr_ask_close(&ask);
    unlink(program);
}
END_TEST

START_TEST(a_child_that_hangs_is_ended)
{
    static nr_ask ask;
    make_program("[ \"$1\" = inspect ] || exec sleep 1000");
    ck_assert(nr_ask_open(&ask, "/run", program));
    run_round(&ask, 5, 100, 13);
    ck_assert(ask.answered && !ask.interim.fitted);
    ck_assert_str_eq(ask.interim.why_not, "noonfit took too long over this record");
    nr_ask_close(&ask);
    unlink(program);
}
END_TEST

START_TEST(a_child_that_never_stops_talking)
{
    static nr_ask ask;
    make_program("yes '{\"findings\":[' & yes x >&2");
    ck_assert(nr_ask_open(&ask, "/run", program));
    run_round(&ask, 5, 100, 0);
    ck_assert(ask.answered && !ask.interim.fitted);
    nr_ask_close(&ask);
    unlink(program);
}
END_TEST

START_TEST(no_noonfit)
{
    static nr_ask ask;
    ck_assert(nr_ask_open(&ask, "/run", "/nonexistent/noonfit"));
    run_round(&ask, 5, 100, 0);
    ck_assert(strstr(ask.interim.why_not, "not beside noonlog") != NULL);
    nr_ask_close(&ask);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_fit,
                                  an_answer_that_is_none,
                                  several_collectors,
                                  garbage_is_no_answer,
                                  a_refusal,
                                  findings_grave_ones_first,
                                  asks_and_rests,
                                  rests_longer_after_a_long_answer,
                                  a_child_that_hangs_is_ended,
                                  a_child_that_never_stops_talking,
                                  no_noonfit,
                                  NULL};
    return run_tests("what noonfit tells", tests);
}
