/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The recording loop by a clock of the test's, which is asked once a turn: each time a line comes
 * from a pseudo-terminal, so that nothing is waited for. What is in the folder afterwards, word by
 * word: rows, notes, the closing state; and why it ended. */
#include "logger/record/record.h"

#include "logger/run/folder.h"
#include "tests/unit/near.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

#define UTC 1777893720.0 /* 2026-05-04T11:22:00Z (date -u +%s) */

static nr_rig rig;
static nr_err err;
static nr_record_options options;
static char top[] = "/tmp/noonlog-recorder-XXXXXX", folder[64], rig_text[400];
static int master, signals[2], turns, event_at, stop_at, stop_signal, asked_at;
static unsigned long views, rows_seen;
static nr_now now;

/* What comes at which second, and what the clocks do before it. */
typedef struct event {
    const char *line;
    double set_s, slept_s; /* the wall clock is set by; suspended for */
} event;

static const event *script;

static void send_line(const char *line)
{
    ck_assert_int_eq(write(master, line, strlen(line)), (ssize_t)strlen(line));
    struct pollfd there = {.fd = open(ptsname(master), O_RDONLY | O_NOCTTY | O_NONBLOCK),
                           .events = POLLIN};
    ck_assert_int_eq(poll(&there, 1, 10000), 1); /* it is through the terminal */
    close(there.fd);
}

/* Wakes the loop: what is no whole signal is none. */
static void wake(void)
{
    ck_assert_int_eq(write(signals[1], "", 1), 1);
}

/* By turns: one in which a line is sent, which the loop does not look for any more, and one a
 * second later in which it is read. Behind the end of the script remarks come. */
static void look(void *context, nr_now *out)
{
    (void)context;
    if (script && turns++ % 2 == 0) {
        send_line(script[event_at].line ? script[event_at].line : "# nothing\n");
    } else if (script) {
        const event *e = &script[event_at];
        now.steady_s += 1 + e->slept_s;
        now.awake_s += 1;
        now.utc_s += 1 + e->slept_s + e->set_s;
        event_at += e->line != NULL;
    }
    *out = now;
    if (!script)
        return;
    wake();
    if (stop_at && event_at >= stop_at) {
        struct signalfd_siginfo info = {.ssi_signo = (uint32_t)stop_signal};
        ck_assert_int_eq(write(signals[1], &info, sizeof info), sizeof info);
        stop_at = 0;
    }
    if (asked_at && event_at >= asked_at)
        ck_assert(nr_state_ask(folder));
}

static void on_row(void *context, const nr_sample *row)
{
    (void)context;
    rows_seen += row->elapsed_s > 0;
}

static void on_progress(void *context, const nr_record_view *view)
{
    (void)context;
    ck_assert(view->rig == &rig && !view->waiting && view->trouble[0] == '\0');
    ck_assert(!view->last || view->rows > 0);
    views++;
}

static void last_word(void *context, char *text, size_t size)
{
    (void)context;
    snprintf(text, size, "nobody watched");
}

static void set_up(void)
{
    strcpy(top, "/tmp/noonlog-recorder-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(top));
    snprintf(folder, sizeof folder, "%s/run", top);
    master = posix_openpt(O_RDWR | O_NOCTTY);
    ck_assert(master >= 0 && grantpt(master) == 0 && unlockpt(master) == 0 &&
              socketpair(AF_UNIX, SOCK_DGRAM, 0, signals) == 0);
    snprintf(rig_text, sizeof rig_text,
             "[adapter]\nport = %s\nbaud = 9600\n[channel store]\nunit = degC\nhigh = 95\n",
             ptsname(master));
    ck_assert_int_eq(
        nr_rig_parse(rig_text, strlen(rig_text), "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err),
        NR_OK);
    now = (nr_now){.utc_s = UTC, .steady_s = 500, .awake_s = 400};
    options = (nr_record_options){.for_s = NAN,
                                  .sync_s = 1,
                                  .clock = {look, NULL},
                                  .files = &nr_files_system,
                                  .progress = on_progress,
                                  .row = on_row,
                                  .last_word = last_word};
    turns = event_at = stop_at = asked_at = 0;
    views = rows_seen = 0;
    script = NULL;
}

static void tear_down(void)
{
    char command[100];
    close(master), close(signals[0]), close(signals[1]);
    snprintf(command, sizeof command, "rm -rf '%s'", top);
    ck_assert_int_eq(system(command), 0);
}

static nr_state record(const event *events, bool again)
{
    nr_recorder *r;
    nr_begun b;
    nr_state state;
    ck_assert_msg(nr_recorder_new(&rig, &options, &r, &err) == NR_OK, "%s", err.text);
    nr_code code = again ? nr_begin_again(folder, &rig, &now, &b, &err)
                         : nr_begin_new(folder, &rig, rig_text, strlen(rig_text), &now, &b, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    script = events;
    ck_assert_msg(nr_recorder_run(r, &b, signals[0], &err) == NR_OK, "%s", err.text);
    script = NULL;
    nr_recorder_free(r);
    nr_begun_end(&b);
    ck_assert_int_eq(nr_state_read(folder, &state, &err), NR_OK);
    ck_assert(state.ended && state.status == 0 && !state.waiting && state.lost == 0);
    return state;
}

static const char *got(const char *name)
{
    static char text[8000];
    char path[100];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "r");
    ck_assert_ptr_nonnull(f);
    text[fread(text, 1, sizeof text - 1, f)] = '\0';
    fclose(f);
    return text;
}

static void noted(const char *kind_and_text)
{
    ck_assert_msg(strstr(got(NR_NOTES_FILE), kind_and_text), "no %s in:\n%s", kind_and_text,
                  got(NR_NOTES_FILE));
}

START_TEST(a_whole_recording)
{
    static const event events[] = {
        {"store=20\n", 0, 0},   {"store=21\n", 0, 0},  {"stone=9\n", 0, 0},   {"# words\n", 0, 0},
        {"store=??\n", 100, 0}, {"store=99\n", 0, 20}, {"store=22\n", -7, 0}, {"store=23\n", 0, 0},
        {"store=24\n", 0, 0},   {NULL, 0, 0}};
    options.for_s = 28.5;
    nr_state s = record(events, false);
    /* a port's first line may have lost its beginning: it makes no row */
    ck_assert_str_eq(got(NR_READINGS_FILE), "time_utc,elapsed_s,store_degC\n"
                                            "2026-05-04T11:22:02.000Z,2.000,21.0000\n"
                                            "2026-05-04T11:23:45.000Z,5.000,\n"
                                            "2026-05-04T11:24:06.000Z,26.000,\n"
                                            "2026-05-04T11:24:00.000Z,27.000,22.0000\n"
                                            "2026-05-04T11:24:01.000Z,28.000,23.0000\n"
                                            "2026-05-04T11:24:02.000Z,29.000,24.0000\n");
    ck_assert(s.rows == 6 && s.on_disk == 6 && s.lines == 9 && s.rejected == 2);
    ck_assert(rows_seen == 6 && views > 5);
    NEAR(s.last_row_s, 29, 1e-6);
    noted(",start,\"recording starts (noonlog " NOONRUN_VERSION ")\"");
    noted(",port,\"port open: /dev/pts/");
    noted(", 9600 baud\"");
    noted(",clock,\"wall clock was set forward by 100.000 s; elapsed time goes on unharmed\"");
    noted(",clock,\"wall clock was set back by 7.000 s; elapsed time goes on unharmed\"");
    noted(",clock,\"computer was suspended for 20.0 s\"");
    noted(",gap,\"no readings for 3.0 s, from 2.000 to 5.000\"");
    noted(",port,\"lines that gave no reading: no key that the rig names (1), half a line (1)\"");
    noted(",note,\"channel store: 4 readings, 1 empty or no number, 1 not believable and left "
          "empty\"");
    noted(",port,\"nobody watched\"");
    noted(",stop,\"the time asked for is over: 6 rows from 9 lines\"");
    const char *log = got(NR_ADAPTER_LOG_FILE);
    static const char *const lines[] = {"\t1.000\t-\tstore=20\\^\n", "\t2.000\t-\tstore=21\n",
                                        "\t4.000\t-\t# words\n", "\t28.000\t-\tstore=23\n"};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        ck_assert_msg(strstr(log, lines[i]), "no %s in:\n%s", lines[i], log);
    ck_assert_ptr_null(strstr(log, "store=25"));
}
END_TEST

/* Each way to end it, in its words. */
START_TEST(why_it_ended)
{
    static const struct {
        int signal;
        const char *words;
    } of[] = {{SIGINT, "stopped from the keyboard"},
              {SIGHUP, "the terminal was closed"},
              {SIGTERM, "told to stop"},
              {0, "told to stop"}};
    static const event events[] = {{"store=20\n", 0, 0},
                                   {"store=21\n", 0, 0},
                                   {"store=22\n", 0, 0},
                                   {"store=23\n", 0, 0},
                                   {NULL, 0, 0}};
    for (size_t i = 0; i < 4; i++) {
        char wanted[80];
        stop_at = of[i].signal ? 4 : 0;
        stop_signal = of[i].signal;
        asked_at = of[i].signal ? 0 : 4;
        turns = event_at = 0;
        nr_state s = record(events, i > 0);
        snprintf(wanted, sizeof wanted, ",stop,\"%s: ", of[i].words);
        noted(wanted);
        ck_assert_uint_ge(s.rows, 2 * (i + 1)); /* of the whole run */
        ck_assert_uint_eq(s.rows, s.on_disk);
        asked_at = 0;
    }
    noted(",start,\"recording taken up again after ");
    ck_assert_ptr_nonnull(strstr(got(NR_ADAPTER_LOG_FILE), "# resume\n"));
}
END_TEST

/* What is said at the end of an adapter's own clock: in ppm where it is nearly ours, as a rate
 * where it is another one altogether. */
START_TEST(clocks_of_adapters)
{
    static const struct {
        int step_ms;
        const char *words;
    } of[] = {{1000, "adapter: its clock runs 0 ppm faster than this computer's (standard"},
              {1001, "adapter: its clock runs 1000 ppm faster than this computer's (standard"},
              {998, "adapter: its clock runs 2000 ppm slower than this computer's (standard"},
              {1040, "adapter: its clock runs 40000 ppm faster than this computer's (standard"},
              {1060, "adapter: its clock runs at 1.06 times this computer's, and was believed"},
              {2000, "adapter: its clock runs at 2 times this computer's, and was believed"}};
    static char lines[16][40];
    event events[17] = {{NULL, 0, 0}};
    snprintf(rig_text, sizeof rig_text,
             "[adapter]\nport = %s\nclock = adapter\n[channel store]\nunit = degC\n",
             ptsname(master));
    ck_assert_int_eq(
        nr_rig_parse(rig_text, strlen(rig_text), "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err),
        NR_OK);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        for (int k = 0; k < 16; k++) {
            snprintf(lines[k], sizeof lines[k], "ms=%d,store=20\n", 5000 + k * of[i].step_ms);
            events[k] = (event){.line = lines[k]};
        }
        snprintf(folder, sizeof folder, "%s/run%zu", top, i);
        turns = event_at = 0;
        stop_at = 16;
        stop_signal = SIGINT;
        nr_state s = record(events, false);
        ck_assert(s.rows >= 14 && s.on_disk == s.rows);
        noted(of[i].words);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_whole_recording, why_it_ended, clocks_of_adapters, NULL};
    return run_tests_in("recorder", tests, set_up, tear_down);
}
