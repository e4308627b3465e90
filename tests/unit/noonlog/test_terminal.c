/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What needs a terminal: the line of progress, cut to its width by whole pieces; the screen of the
 * live view; `take` that asks; `watch` and the keys that end it. A child has the terminal. */
#include "logger/noonlog/commands.h"
#include "logger/noonlog/progress.h"
#include "logger/noonlog/terminal.h"

#include "tests/unit/command_run.h"
#include "tests/unit/run/rig_fixture.h"

#include <pty.h>
#include <signal.h>
#include <sys/wait.h>
#include <time.h>

static char screen[COMMAND_SAID];
static const char *pressed_at = ""; /* once this stands there: keys mean another thing before */

/* Runs `work` on a terminal of that width and 24 rows where these keys are pressed; what it wrote
 * is in `screen`. Its exit status. */
static int on_terminal(int columns, const char *keys, int (*work)(void))
{
    int master, status;
    struct winsize size = {.ws_row = columns ? 24 : 0, .ws_col = (unsigned short)columns};
    struct termios modes;
    fflush(NULL);
    pid_t child = forkpty(&master, NULL, NULL, &size);
    ck_assert(child >= 0);
    if (child == 0) {
        tcgetattr(STDIN_FILENO, &modes);
        modes.c_lflag &= (tcflag_t)~ECHO;
        modes.c_oflag &= (tcflag_t)~OPOST;
        tcsetattr(STDIN_FILENO, TCSANOW, &modes);
        alarm(60);
        int code = work();
        fflush(NULL);
        _exit(code);
    }
    size_t used = 0;
    bool pressed = false;
    screen[0] = '\0';
    for (;;) {
        if (!pressed && strstr(screen, pressed_at)) {
            ck_assert_int_eq(write(master, keys, strlen(keys)), (ssize_t)strlen(keys));
            pressed = true;
        }
        ssize_t n = read(master, screen + used, sizeof screen - 1 - used);
        if (n <= 0)
            break;
        used += (size_t)n;
        screen[used] = '\0';
    }
    close(master);
    ck_assert_int_eq(waitpid(child, &status, 0), child);
    ck_assert(WIFEXITED(status));
    return WEXITSTATUS(status);
}

/* --- progress --------------------------------------------------------------------------------- */

static nr_rig rig;
static nr_sample last;
static nr_record_view view;
static bool quiet, background;

static int show(void)
{
    nr_progress p;
    nr_progress_init(&p, quiet, background);
    nr_progress_show(&p, &view);
    nr_progress_say(&p, "news");
    nr_progress_end(&p);
    return 0;
}

static void make_view(void)
{
    accept(&rig,
           "[adapter]\nport = x\nline = values\n[channel store]\nunit = degC\nfield = 1\n"
           "[channel air]\nunit = degC\nfield = 2\n[test]\nunits = si\n",
           NR_RIG_FOR_RECORD);
    memset(&last, 0, sizeof last);
    last.value[0] = 21.5;
    last.value[1] = NAN;
    view =
        (nr_record_view){.elapsed_s = 3661.9, .rows = 5, .trouble = "", .rig = &rig, .last = &last};
    quiet = background = false;
}

START_TEST(a_line_of_progress)
{
    make_view();
    on_terminal(80, "", show);
    ck_assert_str_eq(screen, "\r1:01:01  5 rows  store 21.5 °C  air -\033[K"
                             "\r\033[Knoonlog: news\n");
    view.last = NULL;
    view.waiting = true;
    view.trouble = "full";
    on_terminal(80, "", show);
    SAYS(screen, "\r1:01:01  5 rows  disk in trouble  waiting for the port\033[K");
    accept(&rig,
           "[adapter]\nport = x\nline = values\n[channel store]\nunit = degC\nfield = 1\n"
           "[test]\nunits = us\n",
           NR_RIG_FOR_RECORD);
    view.last = &last;
    on_terminal(80, "", show);
    SAYS(screen, "  store 70.7 °F\033[K");
    background = true;
    on_terminal(80, "", show);
    ck_assert_str_eq(screen, "noonlog: news\n");
    quiet = true;
    on_terminal(80, "", show);
    ck_assert_str_eq(screen, "");
}
END_TEST

/* Whole pieces, and one column left free: with "°" of two bytes a piece takes one more. */
START_TEST(as_wide_as_the_terminal)
{
    make_view();
    /* "1:01:01  5 rows" has 15 letters, "  store 21.5 °C" 16 bytes, "  air -" 7 */
    static const struct {
        int columns;
        const char *line;
    } of[] = {{39, "\r1:01:01  5 rows  store 21.5 °C  air -\033[K"},
              {38, "\r1:01:01  5 rows  store 21.5 °C\033[K"},
              {32, "\r1:01:01  5 rows  store 21.5 °C\033[K"},
              {31, "\r1:01:01  5 rows  air -\033[K"},
              {23, "\r1:01:01  5 rows  air -\033[K"},
              {22, "\r1:01:01  5 rows\033[K"},
              {20, "\r1:01:01  5 rows\033[K"},
              {19, "\r1:01:01  5 rows  store 21.5 °C  air -\033[K"}, /* no width at all */
              {0, "\r1:01:01  5 rows  store 21.5 °C  air -\033[K"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        on_terminal(of[i].columns, "", show);
        ck_assert_msg(strstr(screen, of[i].line) == screen, "%d: %s", of[i].columns, screen);
    }
}
END_TEST

/* --- the screen ------------------------------------------------------------------------------- */

static int size_of_it(void)
{
    int columns, rows;
    nr_terminal_size(&columns, &rows);
    printf("%dx%d %d", columns, rows, nr_terminal_usable());
    setenv("TERM", "dumb", 1);
    printf("%d", nr_terminal_usable());
    unsetenv("TERM");
    printf("%d", nr_terminal_usable());
    return 0;
}

START_TEST(its_size)
{
    setenv("TERM", "linux", 1);
    on_terminal(132, "", size_of_it);
    ck_assert_str_eq(screen, "132x24 100");
    on_terminal(0, "", size_of_it);
    ck_assert_str_eq(screen, "80x24 100");
    on_terminal(1, "", size_of_it);
    ck_assert_str_eq(screen, "1x24 100");
}
END_TEST

static int draw(void)
{
    static nr_view v = {.count = 3};
    snprintf(v.line[0].text, sizeof v.line[0].text, "123456789");
    snprintf(v.line[1].text, sizeof v.line[1].text, "12345678°0");
    snprintf(v.line[2].text, sizeof v.line[2].text, "low");
    v.line[1].style = NR_STYLE_STRONG;
    v.line[2].style = NR_STYLE_WARNING;
    nr_terminal t = {.open = false};
    bool opened = nr_terminal_open(&t);
    nr_terminal_draw(&v, 10, true);
    nr_terminal_draw(&v, 11, false);
    nr_terminal_close(&t);
    nr_terminal_close(&t);
    return opened ? 7 : 0;
}

START_TEST(drawn)
{
    ck_assert_int_eq(on_terminal(10, "", draw), 7);
    ck_assert_str_eq(screen, "\033[?1049h\033[?25l\033[?7l"
                             "\a\033[H123456789\033[0m\033[K\r\n\033[1m12345678°0\033[0m\r\n"
                             "\033[1;7mlow\033[0m\033[K\033[J"
                             "\033[H123456789\033[0m\033[K\r\n\033[1m12345678°0\033[0m\033[K\r\n"
                             "\033[1;7mlow\033[0m\033[K\033[J"
                             "\033[?7h\033[?25h\033[?1049l");
}
END_TEST

/* --- watch ------------------------------------------------------------------------------------ */

static int watch(void)
{
    char name[] = "watch", *argv[] = {name, in_scratch("run"), NULL};
    return (int)nr_cmd_watch.run(2, argv, &said.err);
}

START_TEST(watched)
{
    setenv("TERM", "linux", 1);
    setenv("PATH", "/nonexistent", 1);
    scratch_folder("run");
    scratch_file("run/readings.csv", "time_utc,elapsed_s,store_degC\n"
                                     "2026-05-04T11:22:30.000Z,0.000,20.50\n");
    pressed_at = "q ends this view";
    static const char *const ends[] = {"q", "xQ", "\x03", "ab\x04"};
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        ck_assert_int_eq(on_terminal(80, ends[i], watch), 0);
        SAYS(screen, "20.5");
        SAYS(screen, "q ends this view");
        ck_assert_str_eq(screen + strlen(screen) - strlen("\033[?1049l"), "\033[?1049l");
    }
}
END_TEST

/* --- take ------------------------------------------------------------------------------------- */

static const char *rig_option, *at_option = "--at=2026-05-04 10:00";

static int take(void)
{
    char name[] = "take", option[300], at[60],
         *argv[] = {name, in_scratch("run"), at, option, NULL};
    snprintf(option, sizeof option, "--rig=%s", rig_option ? rig_option : "");
    snprintf(at, sizeof at, "%s", at_option);
    return (int)nr_cmd_take.run(rig_option ? 4 : 3, argv, &said.err);
}

START_TEST(asked_for)
{
    setenv("TZ", "UTC", 1);
    rig_option =
        scratch_file("rig.ini", "[collector]\ngross_area_m2 = 1.5\n[store]\nwater_kg = 40\n"
                                "[channel store]\nunit = degC\n[channel air]\nunit = degC\n"
                                "[channel sun]\nunit = W_m2\n");
    ck_assert_int_eq(on_terminal(80, "20\nwarm\n\n850\n", take), 0);
    SAYS(screen, "  store, °C:   air, °C:   ! air: \"warm\" is no reading");
    SAYS(screen, "  air, °C:   sun, W/m²: ");
    SAYS(screen, "store      20 °C\n");
    SAYS(screen, "sun        850 W/m²\n");
    SAYS(scratch_read("run/readings.csv"), ",0.000,20.0000,,850.00\n");
    rig_option = NULL;
    at_option = "--at=2026-05-04 10:05";
    ck_assert_int_eq(on_terminal(80, "21\n\x04", take), 0); /* that was all */
    SAYS(screen, "  store, °C (last: 20):   air, °C: \n");
    SAYS(scratch_read("run/readings.csv"), ",300.000,21.0000,,\n");
    SAYS_NOT(screen, "sun");
    ck_assert_int_eq(on_terminal(80, "\n\n\n", take), 0); /* nothing was read */
    SAYS_NOT(screen, "run, 2026");
}
END_TEST

static int take_every(void)
{
    char name[] = "take", every[] = "--every=1h", *argv[] = {name, in_scratch("run"), every, NULL};
    return (int)nr_cmd_take.run(3, argv, &said.err);
}

/* Return begins the next round at once. */
START_TEST(asked_again)
{
    char now[40];
    setenv("TZ", "UTC", 1);
    time_t t = time(NULL) - 600;
    struct tm utc;
    gmtime_r(&t, &utc);
    strftime(now, sizeof now, "--at=%Y-%m-%d %H:%M:%S", &utc);
    at_option = now;
    rig_option =
        scratch_file("rig.ini", "[collector]\ngross_area_m2 = 1.5\n[store]\nwater_kg = 40\n"
                                "[channel store]\nunit = degC\n");
    ck_assert_int_eq(on_terminal(80, "20\n", take), 0);
    ck_assert_int_eq(on_terminal(80, "21\n\n\x04", take_every), 0);
    SAYS(screen, "Return: now; Ctrl-D: that was all.\n  store, °C (last: 21): ");
    ck_assert_ptr_null(strstr(strstr(screen, "Next at") + 1, "Next at"));
}
END_TEST

static void set_up(void)
{
    pressed_at = "";
    scratch_make();
}

int main(void)
{
    const TTest *const tests[] = {a_line_of_progress,
                                  as_wide_as_the_terminal,
                                  its_size,
                                  drawn,
                                  watched,
                                  asked_for,
                                  asked_again,
                                  NULL};
    return run_tests_in("on a terminal", tests, set_up, scratch_remove);
}
