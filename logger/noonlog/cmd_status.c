/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog status: is a run being recorded, and how is it going. */
#include "logger/noonlog/commands.h"

#include "logger/noonlog/option_rows.h"
#include "logger/record/clock.h"
#include "logger/record/state.h"

#include <jansson.h>
#include <math.h>
#include <stddef.h>
#include <stdio.h>

/* A recorder writes its state once a second; older than this it hangs, or the disk does. */
static const double stale_s = 10;

static void show_text(const char *folder, pid_t pid, const nr_state *s, double age_s)
{
    char scarce[200];
    long t = lround(floor(s->elapsed_s));
    if (pid == NR_STATE_STRANGER)
        printf("%s: not recording, but its lock is held by another program; ", folder);
    else if (pid == 0)
        printf("%s: not recording; ", folder);
    else
        printf("%s: recording, process %ld; ", folder, (long)pid);
    printf("%lu rows in %ld:%02ld:%02ld, %lu lines, %lu of them without a reading\n", s->rows,
           t / 3600, t / 60 % 60, t % 60, s->lines, s->rejected);
    bool sure = s->closes && (pid <= 0 || s->trouble[0]);
    if (sure && s->on_disk < s->rows)
        printf("%lu rows are on the disk for sure\n", s->on_disk);
    if (s->lost > 0)
        printf("lost: %lu rows, lines or notes\n", s->lost);
    if (pid <= 0 && s->closes && !s->ended)
        puts("the recorder ended without a closing word (killed, or power was lost)");
    if (pid <= 0 && s->trouble[0])
        printf("trouble: %s\n", s->trouble);
    if (pid <= 0)
        return;
    if (s->last_row_s >= 0)
        printf("last row %.0f s ago\n", fmax(s->elapsed_s - s->last_row_s, 0) + age_s);
    if (s->waiting)
        puts("waiting for a port");
    nr_supply_short(&s->supply, scarce, sizeof scarce);
    if (scarce[0])
        puts(scarce);
    if (nr_awake_text(s->awake)[0])
        puts(nr_awake_text(s->awake));
    if (s->trouble[0])
        printf("%s; what arrives is kept in memory\n", s->trouble);
    if (age_s > stale_s)
        printf("nothing heard from the recorder for %.0f s\n", age_s);
}

/* Of a recording only: afterwards it is old news. */
static json_t *known(double value, pid_t pid)
{
    return pid > 0 && isfinite(value) ? json_real(value) : json_null();
}

static int show_json(const char *folder, pid_t pid, const nr_state *s, double age_s)
{
    json_t *top = json_pack("{s:s,s:b,s:I,s:f,s:I,s:I,s:I,s:I,s:I,s:b,s:b,s:s}", "folder", folder,
                            "recording", pid > 0, "pid", (json_int_t)(pid > 0 ? pid : 0),
                            "elapsed_s", s->elapsed_s, "rows", (json_int_t)s->rows, "lines",
                            (json_int_t)s->lines, "rejected", (json_int_t)s->rejected, "on_disk",
                            (json_int_t)s->on_disk, "lost", (json_int_t)s->lost, "ended", s->ended,
                            "waiting", s->waiting, "trouble", s->trouble);
    if (!top) {
        nr_err err;
        nr_fail(&err, NR_BAD, folder, 0, "the folder's name is not valid UTF-8");
        return nr_cmd_failed(&err);
    }
    json_object_set_new(top, "free_MB", known(s->supply.free_bytes / 1e6, pid));
    json_object_set_new(top, "battery_percent", known(s->supply.battery_percent, pid));
    json_object_set_new(top, "awake",
                        pid > 0 && s->awake != NR_AWAKE_UNKNOWN
                            ? json_string(nr_awake_word(s->awake))
                            : json_null());
    json_object_set_new(top, "last_row_age_s",
                        s->last_row_s < 0 || pid <= 0
                            ? json_null()
                            : json_real(fmax(s->elapsed_s - s->last_row_s, 0) + age_s));
    int failed = json_dumpf(top, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(12)) != 0;
    putchar('\n');
    json_decref(top);
    return failed ? NR_BAD : NR_OK;
}

typedef struct request {
    bool json;
} request;

static const nr_option own[] = {NR_ROW_JSON(request, json), {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_status = {
    .program = NR_PROGRAM,
    .name = "status",
    .arguments = "RUN",
    .summary = "is it recording, and how is it going",
    .about =
        "Whether something records into RUN, how many rows there are, and when the last one came.",
    .least = 1,
    .most = 1,
    .wants = "wants one run folder: RUN",
    .word = {NR_WORD_RUN, NR_WORD_NONE},
    .groups = groups,
    .run = run};

static int status_run(int argc, char **argv)
{
    request q = {0};
    nr_words words;
    nr_state state;
    nr_now now;
    nr_err err;
    if (nr_command_read(&nr_cmd_status, argc, argv, &q, &words, &err) != NR_OK)
        return nr_cmd_failed(&err);
    const char *folder = words.word[0];
    pid_t pid = nr_state_holder(folder);
    nr_code code = nr_state_read(folder, &state, &err);
    if (code != NR_OK)
        return nr_cmd_failed(&err);
    nr_clock_system.now(NULL, &now);
    double age_s = pid > 0 ? fmax(now.steady_s - state.at_steady_s, 0) : 0;
    if (q.json)
        return show_json(folder, pid, &state, age_s);
    show_text(folder, pid, &state, age_s);
    return NR_OK;
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)status_run(argc, argv);
}
