/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `status`, `stop` and `note` of a run: what is said of a recorder that lives, hangs, has ended
 * well or died, and the exit status that `stop` passes on. The recorder is a child of the test: the
 * same program, so that it may be signalled. */
#include "logger/noonlog/commands.h"

#include "logger/record/clock.h"
#include "logger/record/state.h"
#include "tests/unit/command_run.h"

#include <signal.h>
#include <sys/select.h>
#include <sys/wait.h>

static nr_state state;
static nr_err err;
static pid_t child;

static double steady_s(void)
{
    nr_now now;
    nr_clock_system.now(NULL, &now);
    return now.steady_s;
}

static void set_up(void)
{
    scratch_make();
    scratch_folder("run");
    child = 0;
    state = (nr_state){.last_row_s = -1, .supply = {NAN, NAN}};
}

static void tear_down(void)
{
    if (child > 1) {
        kill(child, SIGKILL);
        waitpid(child, NULL, 0);
    }
    scratch_remove();
}

/* The state of a recorder that is gone. */
static void leave(void)
{
    int fd;
    ck_assert_int_eq(nr_state_lock(in_scratch("run"), &fd, &err), NR_OK);
    ck_assert(nr_state_write(fd, &state));
    close(fd);
}

static volatile sig_atomic_t told;

static void on_term(int signal)
{
    (void)signal;
    told = 1;
}

/* A recorder with that state; told to end, or asked where the kernel shows an emulator in its
 * place, it leaves `last` (NULL: it dies at once). */
static void record(const nr_state *last)
{
    int ready[2], fd;
    char x;
    ck_assert_int_eq(pipe(ready), 0);
    child = fork();
    if (child == 0) {
        sigset_t term, before;
        struct sigaction heard = {.sa_handler = last ? on_term : SIG_DFL};
        sigemptyset(&term);
        sigaddset(&term, SIGTERM);
        sigprocmask(SIG_BLOCK, &term, &before);
        sigaction(SIGTERM, &heard, NULL);
        state.pid = getpid();
        nr_boot_id(state.boot_id, sizeof state.boot_id);
        bool good = nr_state_lock(in_scratch("run"), &fd, &err) == NR_OK &&
                    nr_state_write(fd, &state) && write(ready[1], "x", 1) == 1;
        while (good && !told && !nr_state_take_request(in_scratch("run")))
            pselect(0, NULL, NULL, NULL, &(struct timespec){0, 50000000}, &before);
        if (good && last) {
            nr_state word = *last;
            word.pid = word.pid ? word.pid : getpid();
            nr_state_write(fd, &word);
        }
        _exit(0);
    }
    close(ready[1]);
    ck_assert_int_eq(read(ready[0], &x, 1), 1);
    close(ready[0]);
}

#define STATUS(...) ENDS(NR_OK, &nr_cmd_status, "", in_scratch("run"), __VA_ARGS__)
#define STOP(code) ENDS(code, &nr_cmd_stop, "", in_scratch("run"))

/* --- status ----------------------------------------------------------------------------------- */

START_TEST(ended_well)
{
    state = (nr_state){.elapsed_s = 3661.9,
                       .last_row_s = 3661,
                       .rows = 10,
                       .lines = 12,
                       .rejected = 2,
                       .on_disk = 10,
                       .ended = true,
                       .awake = NR_AWAKE_LID,
                       .supply = {1e6, 3}};
    leave();
    STATUS(NULL);
    SAYS(said.out, "run: not recording; 10 rows in 1:01:01, 12 lines, 2 of them without a reading");
    ck_assert_ptr_eq(strchr(said.out, '\n') + 1, said.out + strlen(said.out)); /* one line */
    STATUS("--json");
    SAYS(said.out, "\"recording\": false");
    SAYS(said.out, "\"pid\": 0");
    SAYS(said.out, "\"rows\": 10");
    SAYS(said.out, "\"last_row_age_s\": null");
    SAYS(said.out, "\"free_MB\": null");
    SAYS(said.out, "\"battery_percent\": null");
    SAYS(said.out, "\"awake\": null");
}
END_TEST

START_TEST(ended_badly)
{
    state = (nr_state){.rows = 10, .on_disk = 9, .lost = 1, .trouble = "no space"};
    leave();
    STATUS(NULL);
    SAYS(said.out, "9 rows are on the disk for sure\n");
    SAYS(said.out, "lost: 1 rows, lines or notes\n");
    SAYS(said.out, "without a closing word");
    SAYS(said.out, "trouble: no space\n");
    SAYS_NOT(said.out, "kept in memory");
    SAYS_NOT(said.out, "last row");
    state.lost = 0;
    state.on_disk = 10;
    leave();
    STATUS(NULL);
    SAYS_NOT(said.out, "for sure");
    SAYS_NOT(said.out, "lost:");
}
END_TEST

START_TEST(at_work)
{
    state.elapsed_s = 100;
    state.last_row_s = 0;
    state.rows = 5;
    state.on_disk = 4;
    state.waiting = true;
    state.awake = NR_AWAKE_LID;
    state.supply.free_bytes = 4.2e9;
    state.at_steady_s = steady_s() - 3;
    record(NULL);
    STATUS(NULL);
    char who[60];
    snprintf(who, sizeof who, "run: recording, process %ld; 5 rows in 0:01:40", (long)child);
    SAYS(said.out, who);
    SAYS(said.out, "last row 103 s ago\n");
    SAYS(said.out, "waiting for a port\n");
    SAYS(said.out, "also with its lid closed");
    SAYS_NOT(said.out, "for sure"); /* they are on their way */
    SAYS_NOT(said.out, "closing word");
    SAYS_NOT(said.out, "nothing heard");
    STATUS("--json");
    SAYS(said.out, "\"recording\": true");
    snprintf(who, sizeof who, "\"pid\": %ld", (long)child);
    SAYS(said.out, who);
    SAYS(said.out, "\"last_row_age_s\": 103.");
    SAYS(said.out, "\"free_MB\": 4200.0");
    SAYS(said.out, "\"battery_percent\": null");
    SAYS(said.out, "\"awake\": \"lid\"");
}
END_TEST

START_TEST(at_work_without_rows)
{
    state.at_steady_s = steady_s() + 100; /* a clock that counts from another start */
    state.trouble[0] = 'x';
    state.rows = 2;
    record(NULL);
    STATUS(NULL);
    SAYS_NOT(said.out, "last row");
    SAYS_NOT(said.out, "waiting");
    SAYS_NOT(said.out, "awake");
    SAYS_NOT(said.out, "trouble:");
    SAYS(said.out, "x; what arrives is kept in memory\n");
    SAYS(said.out, "0 rows are on the disk for sure\n");
    STATUS("--json");
    SAYS(said.out, "\"last_row_age_s\": null");
}
END_TEST

/* A recorder says something each second: one that has not for ten hangs. */
START_TEST(hangs)
{
    state.at_steady_s = steady_s() - 8.5;
    record(NULL);
    STATUS(NULL);
    SAYS_NOT(said.out, "nothing heard");
    tear_down();
    set_up();
    state.at_steady_s = steady_s() - 10.1;
    record(NULL);
    STATUS(NULL);
    SAYS(said.out, "nothing heard from the recorder for 10 s\n");
}
END_TEST

/* --- stop ------------------------------------------------------------------------------------- */

START_TEST(nobody_to_stop)
{
    STOP(NR_CANNOT);
    state.ended = true;
    leave();
    STOP(NR_CANNOT);
}
END_TEST

START_TEST(stopped)
{
    nr_state last = {.ended = true, .on_disk = 77, .rows = 77};
    record(&last);
    STOP(NR_OK);
    SAYS(said.out, "run: 77 rows on the disk\n");
}
END_TEST

/* Its word and its status. */
START_TEST(stopped_with_loss)
{
    nr_state last = {.ended = true, .status = NR_BAD, .on_disk = 7, .trouble = "3 rows are lost"};
    record(&last);
    STOP(NR_BAD);
    SAYS(said.err.text, "3 rows are lost");
    tear_down();
    set_up();
    last.status = NR_CANNOT;
    record(&last);
    STOP(NR_CANNOT);
}
END_TEST

START_TEST(dies_of_it)
{
    state.on_disk = 5;
    record(NULL);
    STOP(NR_BAD);
    SAYS(said.err.text, "ended without a closing word");
    SAYS(said.err.text, "at least 5 are on the disk");
    tear_down();
    set_up();
    nr_state last = {.pid = 4000000, .ended = true}; /* another's word */
    record(&last);
    STOP(NR_BAD);
    SAYS(said.err.text, "ended without a closing word");
    tear_down();
    set_up();
    last = (nr_state){.on_disk = 5}; /* it has not ended */
    record(&last);
    STOP(NR_BAD);
}
END_TEST

/* --- note ------------------------------------------------------------------------------------- */

#define NOTE(code, ...) ENDS(code, &nr_cmd_note, "", in_scratch("run"), __VA_ARGS__)

START_TEST(notes)
{
    state.zero_utc_s = 1777888800; /* 2026-05-04T10:00:00Z (GNU date) */
    state.elapsed_s = 1000;
    leave();
    NOTE(NR_OK, "glass on", "--at", "61s");
    SAYS(scratch_read("run/notes.csv"), "2026-05-04T10:01:01.000Z,61");
    SAYS(scratch_read("run/notes.csv"), ",note,\"glass on\"");
    NOTE(NR_OK, "--pump", "on", "--at", "62s");
    SAYS(scratch_read("run/notes.csv"), ",pump,\"on\"");
    NOTE(NR_OK, "by hand", "--pump", "off", "--at", "63s");
    SAYS(scratch_read("run/notes.csv"), ",pump,\"off: by hand\"");
    NOTE(NR_CANNOT, "glass on"); /* when? the run is over */
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {ended_well, ended_badly,    at_work, at_work_without_rows,
                                  hangs,      nobody_to_stop, stopped, stopped_with_loss,
                                  dies_of_it, notes,          NULL};
    return run_tests_in("status and stop", tests, set_up, tear_down);
}
