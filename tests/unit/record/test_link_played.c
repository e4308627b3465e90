/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A link whose port is played by the test, through thousands of drawn events by a clock of the
 * test's: what is told, and in which words, when it is tried again and which lines go on, worked
 * out a second time. test_link.c has the real ports. */
#include "logger/record/link.h"

#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <errno.h>

static nr_rig rig;
static nr_link linked;
static double now_s;
static nr_code opens;   /* what the next opening gives */
static char reason[40]; /* and why */
static int reads, left, opened, closed, ended;
static nr_port_state at_the_end; /* of what is there to read */
static char told[8][600];
static int tells, lines;
static size_t line_adapter;

void nr_port_init(nr_port *port, const nr_port_settings *settings)
{
    memset(port, 0, sizeof *port);
    port->settings = *settings;
}

nr_code nr_port_open(nr_port *port, nr_err *err)
{
    opened++;
    snprintf(port->path, sizeof port->path, "%s", port->settings.path);
    return opens == NR_OK ? NR_OK : nr_fail(err, opens, "/dev/p", 0, "%s", reason);
}

nr_port_state nr_port_read(nr_port *port, char *to, size_t size, size_t *count)
{
    (void)port;
    ck_assert_uint_ge(size, 4096);
    reads++;
    if (left == 0)
        return at_the_end;
    left--;
    memcpy(to, "a=1\n", *count = 4);
    return NR_PORT_BYTES;
}

bool nr_port_write(nr_port *port, const char *bytes, size_t count)
{
    (void)port, (void)bytes, (void)count;
    return false;
}

void nr_port_close(nr_port *port)
{
    (void)port;
    closed++;
}

void nr_port_end(nr_port *port)
{
    (void)port;
    ended++;
}

static void on_line(void *context, size_t adapter, const nr_wire_line *line)
{
    (void)line;
    ck_assert_ptr_eq(context, &rig);
    line_adapter = adapter;
    lines++;
}

static void on_news(void *context, nr_note_kind kind, const char *text)
{
    ck_assert_ptr_eq(context, &rig);
    ck_assert_int_eq(kind, NR_NOTE_PORT);
    ck_assert_int_lt(tells, 8);
    snprintf(told[tells++], sizeof told[0], "%s", text);
}

static void begin(const char *path, nr_adapter_kind kind, double interval_s)
{
    memset(&rig, 0, sizeof rig);
    rig.adapters = 2;
    rig.adapter[1].kind = kind;
    rig.adapter[1].baud = 9600;
    rig.adapter[1].interval_s = interval_s;
    snprintf(rig.adapter[1].port, sizeof rig.adapter[1].port, "%s", path);
    opens = NR_OK;
    tells = lines = reads = left = opened = closed = ended = 0;
    at_the_end = NR_PORT_NONE;
    nr_link_init(&linked, &rig, 1, &(nr_link_user){on_line, on_news, &rig});
    ck_assert(linked.state == NR_LINK_DOWN && linked.adapter == 1 && linked.backoff_s == 0.25);
}

/* What was told since the last asking is this and nothing else (NULL: nothing). */
static void was_told(const char *text)
{
    ck_assert_msg(tells == (text != NULL), "%d at %g: %s", tells, now_s, tells ? told[0] : text);
    if (text)
        ck_assert_str_eq(told[0], text);
    tells = 0;
}

/* --- drawn ----------------------------------------------------------------------------------- */

/* The second working: what is known of the link. */
static struct {
    bool up, was_up, was_connecting, silent;
    double retry_s, backoff_s, lost_s, heard_s, good_s;
    char failure[40];
} m;

static void open_now(void)
{
    char text[200] = "";
    nr_err err = {.text = ""};
    ck_assert_int_eq(nr_link_open(&linked, now_s, &err), opens);
    if (opens == NR_CANNOT) {
        m.retry_s = now_s + 0.25;
        m.was_connecting = true;
    } else if (opens == NR_BAD) {
        ck_assert_str_eq(err.text, reason);
        m.retry_s = now_s + m.backoff_s;
        m.backoff_s = m.backoff_s < 2.5 ? 2 * m.backoff_s : 5;
        if ((m.was_up || m.was_connecting) && strcmp(m.failure, reason) != 0)
            snprintf(text, sizeof text, "waiting for the port: /dev/p: %s", reason);
        snprintf(m.failure, sizeof m.failure, "%s", reason);
    } else {
        if (m.was_up)
            snprintf(text, sizeof text, "port found again after %.1f s: /dev/p%s", now_s - m.lost_s,
                     linked.port.identity[0] ? ", usb:1:2" : "");
        m.up = m.was_up = true;
        m.silent = false;
        m.heard_s = m.good_s = now_s;
        m.failure[0] = '\0';
    }
    was_told(*text ? text : NULL);
}

static void lose_now(void)
{
    char text[200];
    m.up = false;
    m.lost_s = now_s;
    m.backoff_s = 0.25;
    m.retry_s = now_s + 0.25;
    snprintf(text, sizeof text, "port lost (%s): /dev/p",
             linked.port.lost_errno ? strerror(linked.port.lost_errno) : "unplugged");
    was_told(text);
    ck_assert_int_eq(closed, 1);
    closed = 0;
}

/* Bytes come, at most sixteen times at once, and each is a line; or the port is gone. */
static void read_now(int there, nr_port_state end, bool hung_up)
{
    bool gone = end == NR_PORT_LOST || hung_up;
    left = there;
    at_the_end = end;
    lines = reads = 0;
    nr_link_read(&linked, now_s, hung_up);
    int taken = there < 16 ? there : 16;
    ck_assert_int_eq(lines, taken);
    ck_assert_int_eq(reads, there < 16 ? there + 1 : 16);
    ck_assert(taken == 0 || line_adapter == 1);
    if (taken > 0) {
        m.heard_s = now_s;
        for (; m.silent; m.silent = false) {
            ck_assert(tells > 0 && strcmp(told[0], "/dev/p is heard again") == 0);
            memmove(told, told + 1, sizeof told - sizeof told[0]);
            tells--;
        }
    }
    if (gone && there < 16)
        lose_now();
    else
        was_told(NULL);
}

static void tick_now(double patience_s)
{
    if (!m.up) {
        int before = opened;
        if (now_s < m.retry_s) {
            nr_link_tick(&linked, now_s);
            ck_assert_int_eq(opened, before);
        } else {
            opens = NR_OK; /* what it then does is asked above */
            nr_link_tick(&linked, now_s);
            ck_assert_int_eq(opened, before + 1);
            ck_assert_int_eq(tells, m.was_up);
            tells = 0;
            m.up = m.was_up = true;
            m.silent = false;
            m.heard_s = m.good_s = now_s;
            m.failure[0] = '\0';
        }
        return;
    }
    char text[200];
    bool silent = !m.silent && now_s - m.heard_s > patience_s;
    snprintf(text, sizeof text,
             "nothing has arrived from /dev/p for %.0f s: is the adapter powered and sending?",
             now_s - m.heard_s);
    m.silent = m.silent || silent;
    nr_link_judged(&linked, NR_LINE_GOOD, NULL, now_s); /* no nonsense: test_link.c */
    nr_link_tick(&linked, now_s);
    was_told(silent ? text : NULL);
}

static void same(void)
{
    ck_assert_int_eq(linked.state, m.up ? NR_LINK_UP : NR_LINK_DOWN);
    if (m.up) {
        NEAR(linked.heard_at_s, m.heard_s, 0);
        ck_assert_int_eq(linked.told_silent, m.silent);
    } else {
        NEAR(linked.retry_at_s, m.retry_s, 1e-9);
        NEAR(linked.backoff_s, m.backoff_s, 1e-9);
    }
}

START_TEST(drawn)
{
    static const nr_code codes[] = {NR_OK, NR_BAD, NR_BAD, NR_CANNOT};
    static const nr_port_state ends[] = {NR_PORT_NONE, NR_PORT_NONE, NR_PORT_NONE, NR_PORT_LOST};
    uint64_t state = 11;
    for (int k = 0; k < 300; k++) {
        begin("/dev/p", NR_ADAPTER_LINES, k % 2 ? 0.5 : 3);
        snprintf(linked.port.identity, sizeof linked.port.identity, "%s", k % 3 ? "" : "usb:1:2");
        memset(&m, 0, sizeof m);
        m.backoff_s = 0.25;
        now_s = 100;
        for (int i = 0; i < 30; i++) {
            unsigned what = chance_below(&state, 4), which = chance_below(&state, 4);
            now_s += 0.125 * chance_below(&state, 64); /* numbers that are exact */
            snprintf(reason, sizeof reason, "reason %u", chance_below(&state, 2));
            linked.port.lost_errno = which < 3 ? 0 : EIO;
            if (m.up && what < 2) {
                unsigned there = chance_below(&state, 19);
                read_now(what ? 0 : (int)there, ends[which], chance_below(&state, 5) == 0);
            } else if (!m.up && what < 3) {
                opens = codes[which];
                open_now();
            } else {
                tick_now(k % 2 ? 5 : 15);
            }
            same();
        }
    }
}
END_TEST

/* --- one by one ------------------------------------------------------------------------------ */

/* What is pending at the end of a port's life goes on; a connection is closed, not unplugged. */
START_TEST(the_end)
{
    begin("tcp:host:7", NR_ADAPTER_LINES, 1);
    nr_link_open(&linked, 100, NULL);
    nr_lines_feed(&linked.lines, "b=2", 3, NULL, NULL);
    at_the_end = NR_PORT_LOST;
    nr_link_read(&linked, 101, false);
    ck_assert_int_eq(lines, 1);
    was_told("port lost (closed by the other side): tcp:host:7");
    nr_lines_feed(&linked.lines, "b=2", 3, NULL, NULL);
    linked.state = NR_LINK_UP;
    nr_link_close(&linked);
    ck_assert(lines == 2 && ended == 1 && linked.state == NR_LINK_DOWN && tells == 0);
}
END_TEST

/* A line that is good makes up for what was bad; comments and empty lines are no nonsense of plain
 * lines, and a comment is one of a polled bus. */
START_TEST(judged)
{
    static const struct {
        nr_line_fault fault;
        bool polled, bad;
    } of[] = {{NR_LINE_COMMENT, false, false}, {NR_LINE_COMMENT, true, true},
              {NR_LINE_EMPTY, false, false},   {NR_LINE_EMPTY, true, false},
              {NR_LINE_GARBAGE, false, true},  {NR_LINE_GARBAGE, true, true},
              {NR_LINE_UNKNOWN, false, true},  {NR_LINE_NOT_PAIRS, false, true}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_wire_line line = {.text = "# one\x01two", .length = 8};
        begin("/dev/p", of[i].polled ? NR_ADAPTER_MODBUS : NR_ADAPTER_LINES, 1);
        nr_link_open(&linked, 100, NULL);
        linked.backoff_s = 4;
        nr_link_judged(&linked, of[i].fault, &line, 103);
        NEAR(linked.good_at_s, of[i].bad ? 100 : 103, 0);
        ck_assert(linked.good == 0 && linked.bad == of[i].bad && linked.backoff_s == 4);
        ck_assert_str_eq(linked.last_bad, of[i].bad ? "# one?tw" : "");
        if (of[i].bad)
            ck_assert_int_eq(linked.last_fault, of[i].fault);
        nr_link_judged(&linked, NR_LINE_GOOD, &line, 104);
        ck_assert(linked.good == 1 && linked.good_at_s == 104 && linked.backoff_s == 0.25);
        nr_link_open(&linked, 110, NULL); /* counted since it came up */
        ck_assert(linked.good == 0 && linked.bad == 0 && linked.up_at_s == 110);
        tells = 0;
    }
}
END_TEST

/* The trouble of a bus again after ten minutes; a rate is doubted by naming the other usual one. */
START_TEST(again_and_instead)
{
    nr_wire_line remark = {.text = "# bus: x y", .length = 8};
    begin("/dev/p", NR_ADAPTER_MODBUS, 1);
    snprintf(linked.port.path, sizeof linked.port.path, "/dev/p");
    for (int i = 0; i < 4; i++) {
        nr_link_judged(&linked, NR_LINE_COMMENT, &remark, 1000 + 300 * i);
        was_told(i % 2 ? NULL : "/dev/p: x"); /* no further than the line is long */
    }
    static const int bauds[][2] = {{9600, 115200}, {115200, 9600}, {19200, 9600}};
    for (int i = 0; i < 3; i++) {
        nr_wire_line noise = {.text = "\x01\x02", .length = 2};
        char words[200];
        begin("/dev/p", NR_ADAPTER_LINES, 1);
        rig.adapter[1].baud = bauds[i][0];
        nr_link_open(&linked, 100, NULL);
        linked.heard_at_s = 105.5;
        nr_link_judged(&linked, NR_LINE_GARBAGE, &noise, 105.5);
        nr_link_tick(&linked, 106);
        snprintf(
            words, sizeof words,
            "bytes arrive but no line parses: is the baud rate really %d? Many adapters use %d",
            bauds[i][0], bauds[i][1]);
        was_told(words);
    }
}
END_TEST

/* Text is what has eight letters, figures or signs of ten; a blank, a question mark and what is no
 * sign are none. */
START_TEST(text_or_noise)
{
    static const struct {
        const char *bad;
        bool is_text;
    } of[] = {{"abcdefgh  ", true},
              {"abcdefg   ", false},
              {"abcdefgh??", true},
              {"abcdefg???", false},
              {"!~012345\x7f\x7f", true},
              {"!~01234\x7f\x7f\x7f", false},
              {"!!!!~~~~\x01 ", true},
              {"", false},
              {"   x", false},
              {"7", true},
              {"abcd ", true},
              {"abc ", false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_wire_line line = {.text = of[i].bad, .length = strlen(of[i].bad)};
        begin("/dev/p", NR_ADAPTER_LINES, 1);
        nr_link_open(&linked, 100, NULL);
        linked.heard_at_s = 105.5;
        nr_link_judged(&linked, NR_LINE_NOT_PAIRS, &line, 105.5);
        nr_link_tick(&linked, 106);
        ck_assert_int_eq(tells, 1);
        ck_assert_msg((strstr(told[0], "none gives a reading") != NULL) == of[i].is_text,
                      "\"%s\": %s", of[i].bad, told[0]);
        tells = 0;
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {drawn, the_end, judged, again_and_instead, text_or_noise, NULL};
    return run_tests("link_played", tests);
}
