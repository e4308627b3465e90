/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `watch`: what is printed once, with and without a noonfit to ask, and what ends or redraws the
 * live view on a terminal: signals, another size, a line that hangs up. */
#include "logger/noonlog/commands.h"
#include "tests/unit/command_run.h"

#include <locale.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <sys/ioctl.h>
#include <sys/wait.h>

static void set_up(void)
{
    static char rows[6000];
    size_t used = (size_t)snprintf(rows, sizeof rows, "time_utc,elapsed_s,store_degC\n");
    scratch_make();
    scratch_folder("run");
    scratch_folder("bin");
    for (int i = 0; i < 60; i++)
        used += (size_t)snprintf(rows + used, sizeof rows - used,
                                 "2026-05-04T10:00:%02d.000Z,%d.000,%.4f\n", i, i, 20 + 0.01 * i);
    scratch_file("run/readings.csv", rows);
    scratch_file("run/notes.csv", "time_utc,elapsed_s,kind,text\n");
    scratch_file("run/rig.ini", "[test]\ntitle = a stand\nunits = us\n[collector]\n"
                                "gross_area_m2 = 1\n[store]\nwater_kg = 40\n[adapter]\n"
                                "port = /dev/null\n[channel store]\nunit = degC\n");
    setenv("PATH", "/nonexistent", 1);
    setenv("TERM", "linux", 1);
}

static int lines_of(const char *text, size_t *widest)
{
    int n = 0;
    *widest = 0;
    for (size_t length; *text; text += length + 1, n++) {
        length = strcspn(text, "\n");
        *widest = length > *widest ? length : *widest;
        ck_assert(length == 0 || text[length - 1] != ' ');
    }
    return n;
}

/* Eighty columns and 24 rows unless another size is said; no blank ends a line. */
START_TEST(printed)
{
    size_t widest;
    ENDS(NR_OK, &nr_cmd_watch, "", in_scratch("run"), "--once", "--units", "si");
    const char *end = strstr(said.out, "ended after 0:00:59\n");
    ck_assert(end && end + 19 - said.out == 80);
    lines_of(said.out, &widest);
    SAYS(said.out, "water in the store");
    SAYS(said.out, "  channel ");
    SAYS(said.out, "noonfit is not beside noonlog and not in PATH"); /* from twenty rows on */
    ENDS(NR_OK, &nr_cmd_watch, "", in_scratch("run"), "--once", "--size", "60x19");
    end = strstr(said.out, "ended after 0:00:59\n");
    ck_assert(end && end + 19 - said.out == 60);
    SAYS_NOT(said.out, "noonfit");
    ENDS(NR_OK, &nr_cmd_watch, "", in_scratch("run"), "--once", "--size", "60x5");
    ck_assert_int_le(lines_of(said.out, &widest), 5);
    ck_assert_uint_le(widest, 60);
}
END_TEST

/* The rig's units, unless others are said; signs as the locale has them. */
START_TEST(units_and_signs)
{
    setlocale(LC_ALL, "C");
    ENDS(NR_OK, &nr_cmd_watch, "", in_scratch("run"), "--once", "--size", "60x12");
    SAYS(said.out, "water 69.1 degF"); /* 20.59 degC */
    ENDS(NR_OK, &nr_cmd_watch, "", in_scratch("run"), "--once", "--units", "si", "--size", "60x12");
    SAYS(said.out, "water 20.6 degC");
    if (setlocale(LC_ALL, "C.UTF-8")) {
        ENDS(NR_OK, &nr_cmd_watch, "", in_scratch("run"), "--once", "--size", "60x12");
        SAYS(said.out, "water 69.1 °F");
        setlocale(LC_ALL, "C");
    }
    ENDS(NR_BAD, &nr_cmd_watch, "", in_scratch("nowhere"), "--once");
    SAYS(command_error(), "this is no run folder");
}
END_TEST

START_TEST(noonfit_is_asked)
{
    char *program = scratch_file(
        "bin/noonfit",
        "#!/bin/sh\n[ $1 = inspect ] && exit 0\necho "
        "'{\"parameters\":{\"eta0\":{\"value\":0.71,\"lo95\":0.66,\"hi95\":0.76}}}'\n");
    ck_assert_int_eq(chmod(program, 0755), 0);
    setenv("PATH", in_scratch("bin"), 1);
    ENDS(NR_OK, &nr_cmd_watch, "", in_scratch("run"), "--once");
    SAYS(said.out, "this run: eta0 0.71 +- 0.05 (95 %)");
    scratch_file("run/readings.csv", "time_utc,elapsed_s,store_degC\n"); /* nothing to ask about */
    ENDS(NR_OK, &nr_cmd_watch, "", in_scratch("run"), "--once");
    SAYS_NOT(said.out, "eta0");
}
END_TEST

/* --- the live view ---------------------------------------------------------------------------- */

static char screen[COMMAND_SAID];
static size_t used;
static int master;
static pid_t child;

/* Reads on until that is on the screen behind `from`; what is read is in `screen`. */
static void shows(size_t from, const char *words)
{
    while (!strstr(screen + from, words)) {
        ssize_t n = read(master, screen + used, sizeof screen - 1 - used);
        ck_assert_msg(n > 0, "\"%s\" never came: %s", words, screen + from);
        used += (size_t)n;
        screen[used] = '\0';
    }
}

static void live(void)
{
    struct winsize size = {.ws_row = 24, .ws_col = 80};
    fflush(NULL);
    used = 0;
    screen[0] = '\0';
    child = forkpty(&master, NULL, NULL, &size);
    ck_assert_int_ge(child, 0);
    if (child == 0) {
        char name[] = "watch", *argv[] = {name, in_scratch("run"), NULL};
        alarm(60);
        _exit((int)nr_cmd_watch.run(2, argv, &said.err));
    }
    shows(0, "q ends this view");
}

/* It ends by itself, in order, and leaves the terminal as it was. */
static void ends(const char *why)
{
    int status;
    for (ssize_t n; (n = read(master, screen + used, sizeof screen - 1 - used)) > 0;)
        screen[used += (size_t)n] = '\0';
    ck_assert_int_eq(waitpid(child, &status, 0), child);
    ck_assert_msg(WIFEXITED(status) && WEXITSTATUS(status) == 0, "%s: status %x", why,
                  (unsigned)status);
    ck_assert_msg(used > 8 && strcmp(screen + used - 8, "\033[?1049l") == 0, "%s", why);
    close(master);
}

START_TEST(signals)
{
    static const int of[] = {SIGTERM, SIGINT, SIGHUP};
    for (int i = 0; i < 3; i++) {
        live();
        kill(child, of[i]);
        ends(strsignal(of[i]));
    }
}
END_TEST

/* Drawn anew at once, as wide as it is now; other keys do nothing. */
START_TEST(another_size)
{
    live();
    SAYS(screen, "water in the store");
    size_t from = used;
    struct winsize size = {.ws_row = 12, .ws_col = 40};
    ck_assert_int_eq(write(master, "xyz", 3), 3);
    ck_assert_int_eq(ioctl(master, TIOCSWINSZ, &size), 0);
    shows(from, "water 69.1");
    ck_assert_int_eq(write(master, "Q", 1), 1);
    ends("Q");
}
END_TEST

/* Nobody looks any more. */
START_TEST(hung_up)
{
    int status;
    live();
    close(master);
    ck_assert_int_eq(waitpid(child, &status, 0), child);
    ck_assert_msg(WIFEXITED(status) && WEXITSTATUS(status) == 0, "status %x", (unsigned)status);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        printed, units_and_signs, noonfit_is_asked, signals, another_size, hung_up, NULL};
    return run_tests_in("watch", tests, set_up, scratch_remove);
}
