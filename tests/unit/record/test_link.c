/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One adapter's port over the life of a recording, by a clock of the test's: when it is tried
 * again, when silence and nonsense are spoken of, and how often a polled bus repeats itself. The
 * limits are those that link.c and the manual page promise; each is tried on both sides. */
#include "logger/record/link.h"

#include "tests/unit/near.h"

#include <fcntl.h>
#include <stdlib.h>
#include <termios.h>
#include <unistd.h>

static nr_rig rig;
static nr_link linked;
static int told, lines, master;
static char last[600];

static void on_line(void *context, size_t adapter, const nr_wire_line *line)
{
    (void)context;
    (void)adapter;
    (void)line;
    lines++;
}

static void on_news(void *context, nr_note_kind kind, const char *text)
{
    (void)context;
    ck_assert_int_eq(kind, NR_NOTE_PORT);
    told++;
    (void)snprintf(last, sizeof last, "%s", text);
}

/* A port that is a pseudo-terminal, or one that is not there. */
static void begin(nr_adapter_kind kind, bool there, double interval_s)
{
    memset(&rig, 0, sizeof rig);
    rig.adapters = 1;
    rig.adapter[0].kind = kind;
    rig.adapter[0].baud = 9600;
    rig.adapter[0].interval_s = interval_s;
    (void)snprintf(rig.adapter[0].port, sizeof rig.adapter[0].port, "/nowhere/port");
    if (there) {
        master = posix_openpt(O_RDWR | O_NOCTTY);
        ck_assert(master >= 0 && grantpt(master) == 0 && unlockpt(master) == 0);
        (void)snprintf(rig.adapter[0].port, sizeof rig.adapter[0].port, "%s", ptsname(master));
    }
    told = lines = 0;
    last[0] = '\0';
    nr_link_init(&linked, &rig, 0, &(nr_link_user){on_line, on_news, NULL});
}

static void judged(const char *text, nr_line_fault fault, double now_s)
{
    nr_link_judged(&linked, fault, &(nr_wire_line){.text = text, .length = strlen(text)}, now_s);
}

/* A quarter of a second, twice as long each time, five seconds at most. */
START_TEST(tries_again_less_and_less_often)
{
    static const double wait_s[] = {0.25, 0.5, 1, 2, 4, 5, 5};
    nr_err err;
    begin(NR_ADAPTER_LINES, false, 1);
    double now_s = 100;
    ck_assert_int_eq(nr_link_open(&linked, now_s, &err), NR_BAD);
    for (size_t i = 0; i < sizeof wait_s / sizeof *wait_s; i++) {
        NEAR(linked.retry_at_s, now_s + wait_s[i], 1e-9);
        nr_link_tick(&linked, now_s + 0.99 * wait_s[i]);
        NEAR(linked.retry_at_s, now_s + wait_s[i], 1e-9); /* not yet */
        now_s += wait_s[i];
        nr_link_tick(&linked, now_s);
    }
    ck_assert_int_eq(told, 0); /* it never was there: the recorder says so once, not the link */
}
END_TEST

START_TEST(silence_is_spoken_of_once)
{
    for (int k = 0; k < 2; k++) { /* five seconds, or five intervals where that is longer */
        double interval_s = k ? 4 : 0.5, patience_s = k ? 20 : 5;
        nr_err err = {.text = ""};
        begin(NR_ADAPTER_LINES, true, interval_s);
        ck_assert_msg(nr_link_open(&linked, 1000, &err) == NR_OK, "%s", err.text);
        nr_link_tick(&linked, 1000 + patience_s);
        ck_assert_int_eq(told, 0);
        nr_link_tick(&linked, 1000 + patience_s + 0.1);
        ck_assert_int_eq(told, 1);
        ck_assert_ptr_nonnull(strstr(last, "nothing has arrived"));
        nr_link_tick(&linked, 1000 + 10 * patience_s);
        ck_assert_int_eq(told, 1);
        ck_assert_int_eq(write(master, "1,2\n", 4), 4);
        while (lines == 0)
            nr_link_read(&linked, 1100, false);
        ck_assert_ptr_nonnull(strstr(last, "is heard again"));
        ck_assert_int_eq(told, 2);
        nr_link_close(&linked);
        close(master);
    }
}
END_TEST

/* Lines come and none gives a reading: said when the last good one is five seconds old, and with
 * the cause that is likely. */
START_TEST(nonsense_is_spoken_of_once)
{
    static const struct {
        const char *line;
        nr_line_fault fault;
        const char *said;
    } kind[] = {{"12,13", NR_LINE_NO_CHECKSUM, "without the checksum"},
                {"hello there", NR_LINE_NOT_PAIRS, "none gives a reading"},
                {"\x01\x02\x03\x04", NR_LINE_GARBAGE, "Many adapters use 115200"},
                /* eight of ten letters and digits are text, seven are not */
                {"abcdefgh\x01\x02", NR_LINE_GARBAGE, "none gives a reading"},
                {"abcdefg\x01\x02\x03", NR_LINE_GARBAGE, "is the baud rate really 9600"}};
    for (size_t i = 0; i < sizeof kind / sizeof *kind; i++) {
        nr_err err;
        begin(NR_ADAPTER_LINES, true, 1);
        ck_assert_int_eq(nr_link_open(&linked, 1000, &err), NR_OK);
        linked.heard_at_s = 1004;
        judged("# a remark", NR_LINE_COMMENT, 1001); /* no reading, but no nonsense either */
        judged(kind[i].line, kind[i].fault, 1004);
        nr_link_tick(&linked, 1006);
        ck_assert_int_eq(told, 0);
        nr_link_tick(&linked, 1006.1);
        ck_assert_int_eq(told, 1);
        ck_assert_msg(strstr(last, kind[i].said), "%s: %s", kind[i].line, last);
        nr_link_tick(&linked, 1008);
        ck_assert_int_eq(told, 1);
        judged("1,2", NR_LINE_GOOD, 1009);
        ck_assert_ptr_nonnull(strstr(last, "lines can be read again"));
        judged("1,2", NR_LINE_GOOD, 1010);
        ck_assert_int_eq(told, 2);
        nr_link_close(&linked);
        close(master);
    }
}
END_TEST

/* What a polled bus says of itself is noted once in ten minutes, unless it is something else. A
 * remark that is not about the bus is none of it, nor is one of another kind of adapter. */
START_TEST(remarks_of_a_bus)
{
    begin(NR_ADAPTER_MODBUS, false, 1);
    judged("# bus: unit 7 gave no answer in time", NR_LINE_COMMENT, 100);
    ck_assert_int_eq(told, 1);
    ck_assert_ptr_nonnull(strstr(last, ": unit 7 gave no answer in time"));
    judged("# bus: unit 7 gave no answer in time", NR_LINE_COMMENT, 699);
    ck_assert_int_eq(told, 1);
    judged("# bus: unit 9 refuses a register", NR_LINE_COMMENT, 699);
    ck_assert_int_eq(told, 2);
    judged("# bus: unit 9 refuses a register", NR_LINE_COMMENT, 1299);
    ck_assert_int_eq(told, 3); /* ten minutes later */
    judged("# no answer on the bus: Connection timed out", NR_LINE_COMMENT, 1300);
    judged("# bus", NR_LINE_COMMENT, 1300);
    judged("# bus: ", NR_LINE_COMMENT, 1300);
    ck_assert_int_eq(told, 3);
    judged("# bus: x", NR_LINE_COMMENT, 1300); /* one letter is the least */
    ck_assert_int_eq(told, 4);
    begin(NR_ADAPTER_LINES, false, 1);
    judged("# bus: unit 7 gave no answer in time", NR_LINE_COMMENT, 100);
    ck_assert_int_eq(told, 0);
}
END_TEST

/* Unplugged: said, and looked for again at once. */
START_TEST(a_port_that_is_lost_comes_back)
{
    nr_err err;
    begin(NR_ADAPTER_LINES, true, 1);
    ck_assert_int_eq(nr_link_open(&linked, 1000, &err), NR_OK);
    close(master);
    nr_link_read(&linked, 1001, true);
    ck_assert_int_eq(linked.state, NR_LINK_DOWN);
    ck_assert_ptr_nonnull(strstr(last, "port lost ("));
    NEAR(linked.retry_at_s, 1001.25, 1e-9);
    NEAR(linked.lost_at_s, 1001, 1e-9);
    int before = told;
    (void)snprintf(linked.port.path, sizeof linked.port.path, "/nowhere/else");
    nr_link_tick(&linked, 1001.25);
    nr_link_tick(&linked, 1001.5);
    ck_assert_int_eq(told, before + 1); /* why it cannot be opened: once */
    ck_assert_ptr_nonnull(strstr(last, "waiting for the port"));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {tries_again_less_and_less_often, silence_is_spoken_of_once,
                                  nonsense_is_spoken_of_once,      remarks_of_a_bus,
                                  a_port_that_is_lost_comes_back,  NULL};
    return run_tests("link", tests);
}
