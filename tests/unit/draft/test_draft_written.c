/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a draft says of an adapter, a field and a name, word for word; what a hand warms; what an
 * adapter's own counter makes of its pace. */
#include "logger/draft/draft.h"
#include "tests/unit/near.h"

static nr_draft draft;
static nr_draft_guess guess;
static char text[40000];

static void take(const char *words, double at_s)
{
    nr_wire_line line = {.text = words, .length = strlen(words)};
    nr_draft_line(&draft, &line, at_s);
}

static void begin(void)
{
    memset(&draft, 0, sizeof draft);
}

static void guess_it(void)
{
    nr_err err = {.text = ""};
    ck_assert_msg(nr_draft_guess_of(&draft, &guess, &err) == NR_OK, "%s", err.text);
}

static void write_it(bool us)
{
    FILE *to = fmemopen(text, sizeof text, "w");
    nr_draft_write(to, &guess, "/dev/ttyUSB0", "/dev/ttyACM1", 9600, us);
    fclose(to);
}

/* The reference adapter counts milliseconds by its own clock: whatever the lines' spacing here was,
 * its interval is the mean of the counter's steps, to two digits. Another adapter's is the lines',
 * and one of a counter that stands still.
 */
START_TEST(pace)
{
    static const struct {
        bool asked;
        int step_ms;
        double said_s;
    } of[] = {{true, 2000, 2},   {true, 1234, 1.2}, {true, 1260, 1.3}, {true, 250, 0.25},
              {true, 10400, 10}, {false, 1000, 1},  {false, 1040, 1},  {true, 1000, 1},
              {true, 96, 0.096}, {true, 0, 1}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (int lines = 3; lines <= 6; lines++) {
            char line[60];
            begin();
            if (of[i].asked)
                take("# noonrun adapter 1.0", 0);
            for (int k = 0; k < lines; k++) {
                snprintf(line, sizeof line, "ms=%d,x=5.%d", 500 + k * of[i].step_ms, k % 3);
                take(line, 7 + k);
            }
            guess_it();
            ck_assert_str_eq(guess.version, of[i].asked ? "1.0" : "");
            ck_assert_int_eq(nr_draft_field_find(&guess, "ms")->role, NR_DRAFT_CLOCK);
            NEAR(guess.interval_s, of[i].said_s, 1e-12);
        }
}
END_TEST

/* Only fields that a hand can warm are handed on, from lines that can be read. */
START_TEST(touched)
{
    nr_touch touch = {.fields = 0};
    double rise_K = 0;
    begin();
    for (int k = 0; k < 4; k++)
        take("a=20.5,b=200,c=21,sun=30", k);
    guess_it();
    nr_touch_begin(&touch);
    static const char *const lines[] = {"a=20.5,b=30,c=21,sun=10", "a=29.5,b=90,c=22,sun=90",
                                        "a=30.5,b=95,c=oops,sun=95", "a=30.5,b=95", "nothing"};
    for (size_t i = 0; i < 5; i++) {
        nr_wire_line line = {.text = lines[i], .length = strlen(lines[i])};
        nr_draft_touch(&guess, &line, &touch);
    }
    ck_assert_uint_eq(touch.fields, 2);
    ck_assert_str_eq(touch.field[0].name, "a");
    NEAR(touch.field[0].low, 20.5, 1e-12);
    NEAR(touch.field[0].last, 30.5, 1e-12);
    ck_assert_str_eq(touch.field[1].name, "c");
    NEAR(touch.field[1].low, 21, 1e-12);
    NEAR(touch.field[1].last, 22, 1e-12);
    nr_touch_field *found = nr_touch_found(&touch, &rise_K);
    ck_assert(found == &touch.field[0]);
    NEAR(rise_K, 10, 1e-12);
}
END_TEST

/* A channel is called by its key, of what can stand there; by what a touch found; by its place
 * where two come out alike. */
START_TEST(names)
{
    static const struct {
        const char *key, *channel, *heading;
    } of[] = {
        {"pan", "", "\n[channel pan]\n"},
        {"pan.2", "", "\n[channel pan_2]\nfield = pan.2\n"},
        {"pan-2", "", "\n[channel pan-2]\n"},
        {"7up", "", "\n[channel field7up]\nfield = 7up\n"},
        {"abcdefghijklmnopqrstuvwxyz", "",
         "\n[channel abcdefghijklmnopqrstuvwxy]\nfield = abcdefghijklmnopqrstuvwxyz\n"},
        {"pan", "outlet", "\n[channel outlet]  ; fluid leaving the collector\nfield = pan\n"},
        {"pan", "abcdefghijklmnopqrstuvwxyz0123456789",
         "\n[channel abcdefghijklmnopqrstuvwxyz01234]\nfield = pan\n"},
        {"pan", "q", "\n[channel q]\nfield = pan\n"},
        {"store", "", "\n[channel store]  ; water in the container, well mixed\n"},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char line[80];
        begin();
        for (int k = 0; k < 4; k++) {
            snprintf(line, sizeof line, "other=3.%d,%s=20.5", k % 2, of[i].key);
            take(line, k);
        }
        guess_it();
        nr_draft_field *f = nr_draft_field_find(&guess, of[i].key);
        snprintf(f->channel, sizeof f->channel, "%s", of[i].channel);
        write_it(false);
        ck_assert_msg(strstr(text, of[i].heading) != NULL, "no %s in\n%s", of[i].heading, text);
    }
    begin();
    for (int k = 0; k < 4; k++)
        take("mug=1.5,pan.x=3.5,pan/x=20.5", k);
    guess_it();
    write_it(false);
    ck_assert_ptr_nonnull(strstr(text, "\n[channel number-2-in-line]\nfield = pan.x\n"));
    ck_assert_ptr_nonnull(strstr(text, "\n[channel number-3-in-line]\nfield = pan/x\n"));
    ck_assert_ptr_nonnull(strstr(text, "\n[channel mug]\nunit = raw  ; it said 1.5; name the"));
}
END_TEST

/* The adapter's section, whole. */
START_TEST(adapter)
{
    static const struct {
        const char *line, *said;
    } of[] = {
        {"a=1.5,b=2.5", "[adapter]\nport = /dev/ttyUSB0\nbaud = 9600\nline = pairs\ninterval_s = "
                        "2\n; such as: a=1.5,b=2.5\n\n; Channels that noonfit"},
        {"1.5;2.5", "[adapter]\nport = /dev/ttyUSB0\nbaud = 9600\nline = values\nseparator = "
                    "semicolon\ninterval_s = 2\n; such as: 1.5;2.5\n\n; Channels that noonfit"},
        {"1.5\t2.5", "[adapter]\nport = /dev/ttyUSB0\nbaud = 9600\nline = values\nseparator = tab\n"
                     "interval_s = 2\n; such as: "},
        {"a=1.5 b=2.5", "[adapter]\nport = /dev/ttyUSB0\nbaud = 9600\nline = pairs\nseparator = "
                        "space\ninterval_s = 2\n; such as: a=1.5 b=2.5\n"},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (int us = 0; us < 2; us++) {
            begin();
            for (int k = 0; k < 4; k++)
                take(of[i].line, 2 * k);
            guess_it();
            write_it(us != 0);
            ck_assert_msg(strstr(text, of[i].said) != NULL, "no %s in\n%s", of[i].said, text);
            ck_assert_ptr_nonnull(strstr(text, "; Drafted from what /dev/ttyACM1 sent."));
            ck_assert_int_eq(strstr(text, "\n;title =\nunits = us\n\n[site]") != NULL, us);
            ck_assert_int_eq(strstr(text, ";gross_area_ft2 =") != NULL, us);
        }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {pace, touched, names, adapter, NULL};
    return run_tests("draft_written", tests);
}
