/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a link asks its port for: the adapter's own settings, and of a polled bus the registers of
 * its channels and no others, with what is usual where the rig says nothing; and in which words it
 * speaks of nonsense. */
#include "logger/record/link.h"

#include "tests/unit/near.h"

static nr_rig rig;
static nr_link linked;
static char last[600];
static int told;

static void on_line(void *context, size_t adapter, const nr_wire_line *line)
{
    (void)context, (void)adapter, (void)line;
}

static void on_news(void *context, nr_note_kind kind, const char *text)
{
    (void)context, (void)kind;
    told++;
    snprintf(last, sizeof last, "%s", text);
}

static const nr_port_settings *settings(const char *text, size_t adapter)
{
    nr_err err;
    ck_assert_msg(
        nr_rig_parse(text, strlen(text), "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err) == NR_OK,
        "%s", err.text);
    nr_link_init(&linked, &rig, adapter, &(nr_link_user){on_line, on_news, NULL});
    told = 0;
    return &linked.port.settings;
}

#define TWO                                                                                        \
    "[adapter a]\nkind = modbus\nport = /dev/p1\nbaud = 19200\nparity = odd\ninterval_s = 3\n"     \
    "[adapter b]\nport = /dev/p2\nbaud = 9600\n"                                                   \
    "[channel store]\nunit = degC\nadapter = a\nmodbus_register = 7\n"                             \
    "[channel air]\nunit = degC\nadapter = b\n"                                                    \
    "[channel sun]\nunit = W_m2\nadapter = a\nmodbus_register = 0\nmodbus_unit = 247\n"            \
    "modbus_type = if32\n"

START_TEST(of_a_bus)
{
    const nr_port_settings *s = settings(TWO, 0);
    static const struct {
        const char *field, *type;
        int unit, address;
    } points[] = {{"store", "s16", 1, 7}, {"sun", "if32", 247, 0}};
    ck_assert_str_eq(s->path, "/dev/p1");
    ck_assert(s->baud == 19200 && s->polled && s->parity == 'O' && s->interval_s == 3);
    ck_assert_uint_eq(s->points, 2);
    for (size_t i = 0; i < 2; i++) {
        ck_assert_str_eq(s->point[i].field, points[i].field);
        ck_assert_str_eq(s->point[i].type, points[i].type);
        ck_assert_int_eq(s->point[i].unit, points[i].unit);
        ck_assert_int_eq(s->point[i].address, points[i].address);
    }
    ck_assert(linked.adapter == 0 && linked.rig == &rig.adapter[0]);
    NEAR(linked.backoff_s, 0.25, 0);
}
END_TEST

START_TEST(of_lines)
{
    const nr_port_settings *s = settings(TWO, 1);
    ck_assert_str_eq(s->path, "/dev/p2");
    ck_assert(s->baud == 9600 && !s->polled && s->points == 0 && s->interval_s == 1);
    ck_assert(linked.adapter == 1 && linked.rig == &rig.adapter[1]);
}
END_TEST

/* Lines come and none is a reading: the cause that is likeliest, by what came, over what, and
 * whether it was ever better. */
START_TEST(words_of_nonsense)
{
    static const struct {
        const char *adapter, *bad;
        nr_line_fault fault;
        unsigned long good;
        const char *words;
    } of[] = {
        {"port = /dev/p\nbaud = 9600\n", "\x01\x02\x03", NR_LINE_GARBAGE, 0,
         "is the baud rate really 9600? Many adapters use 115200"},
        {"port = /dev/p\n", "\x01\x02\x03", NR_LINE_GARBAGE, 0,
         "is the baud rate really 115200? Many adapters use 9600"},
        {"port = /dev/p\n", "\x01\x02\x03", NR_LINE_GARBAGE, 1,
         "lines can no longer be read: a loose wire, a disturbed cable?"},
        {"port = tcp:host:7\n", "\x01\x02\x03", NR_LINE_GARBAGE, 1,
         "is it the right address, and is the baud rate of a serial server"},
        {"port = /dev/p\nchecksum = xor8\n", "store=1", NR_LINE_NO_CHECKSUM, 0,
         "without the checksum *HH that the rig asks for: \"store=1\""},
        {"port = /dev/p\n", "stone=1", NR_LINE_UNKNOWN, 9,
         "none gives a reading (no key that the rig names): \"stone=1\""},
        {"kind = modbus\nport = /dev/p\nbaud = 19200\n", "# # nobody answers", NR_LINE_COMMENT, 0,
         ": nobody answers; wiring, addresses, baud rate 19200, parity?"},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[300];
        snprintf(text, sizeof text,
                 "[adapter]\n%s[channel store]\nunit = degC\nmodbus_register = 1\n", of[i].adapter);
        (void)settings(text, 0);
        snprintf(linked.port.path, sizeof linked.port.path, "%s", rig.adapter[0].port);
        linked.state = NR_LINK_UP;
        linked.heard_at_s = linked.good_at_s = 100;
        for (unsigned long k = 0; k < of[i].good; k++)
            nr_link_judged(&linked, NR_LINE_GOOD, &(nr_wire_line){.text = "x", .length = 1}, 100);
        linked.heard_at_s = 104; /* what came last was no good line */
        nr_link_judged(&linked, of[i].fault,
                       &(nr_wire_line){.text = of[i].bad, .length = strlen(of[i].bad)}, 104);
        ck_assert(linked.good == of[i].good && linked.bad == 1);
        nr_link_tick(&linked, 105);
        ck_assert_int_eq(told, 0);
        nr_link_tick(&linked, 105.01);
        ck_assert_msg(told == 1 && strstr(last, of[i].words), "row %zu: %s", i, last);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {of_a_bus, of_lines, words_of_nonsense, NULL};
    return run_tests("link_points", tests);
}
