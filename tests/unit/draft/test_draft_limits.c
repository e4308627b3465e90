/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where drafting draws its lines, each from both sides: what is text, how many right checksums make
 * a format, what a counter of milliseconds runs at, which number must be degF, what a hand can
 * warm. */
#include "logger/draft/draft.h"
#include "tests/unit/near.h"

static nr_draft draft;
static nr_draft_guess guess;

static void take_at(const char *text, double at_s)
{
    nr_wire_line line = {.text = text, .length = strlen(text)};
    nr_draft_line(&draft, &line, at_s);
}

static void take(const char *text)
{
    take_at(text, (double)draft.lines);
}

static void begin(void)
{
    memset(&draft, 0, sizeof draft);
}

/* At most a fifth of the bytes may be other than printable ASCII and tabs. */
START_TEST(what_is_text)
{
    static const struct {
        const char *text;
        bool is;
    } lines[] = {{"x=1,yy=2", true},
                 {"x=1\ty=2", true},
                 {"t=20\xc2\xb0,,,1", true}, /* 2 of 10 */
                 {"t=20\xc2\xb0,,1", false}, /* 2 of 9 */
                 {"t=2\x7f\x7f,y=10", true},
                 {"t=2\x7f\x7f\x7f,y=10", false},
                 {"t=2\x1f,y=10000", false},
                 {"t=2 ,y=10000", true},
                 {"", false}};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        begin();
        take(lines[i].text);
        ck_assert_msg(draft.lines == lines[i].is && draft.garbled == !lines[i].is, "row %zu", i);
    }
}
END_TEST

/* Half lines and remarks are passed over and no noise; 60 are kept. */
START_TEST(what_is_kept)
{
    const char text[] = "x=1,y=2";
    nr_wire_line line = {.text = text, .length = 7};
    for (int way = 0; way < 4; way++) {
        begin();
        line.first = way == 1;
        line.cut = way == 2;
        line.open = way == 3;
        nr_draft_line(&draft, &line, 2.5);
        ck_assert_uint_eq(draft.lines, way == 0);
        ck_assert_uint_eq(draft.garbled, 0);
        if (way == 0) {
            NEAR(draft.line[0].at_s, 2.5, 0);
            ck_assert(draft.line[0].length == 7 && memcmp(draft.line[0].text, text, 7) == 0);
        }
    }
    take("# x=1,y=2");
    ck_assert(draft.lines == 0 && draft.garbled == 0);
    for (int i = 0; i < NR_DRAFT_LINES + 5; i++)
        take("x=1");
    ck_assert_uint_eq(draft.lines, NR_DRAFT_LINES);
    ck_assert_uint_eq(draft.garbled, 0);
}
END_TEST

START_TEST(readable)
{
    for (int lines = 0; lines < 7; lines++)
        for (int noise = 0; noise < 7; noise++) {
            begin();
            for (int i = 0; i < lines; i++)
                take("x=1");
            for (int i = 0; i < noise; i++)
                take("\x01");
            ck_assert_int_eq(nr_draft_readable(&draft), lines > 2 && lines > noise);
        }
}
END_TEST

/* Counted and checked lines, every one of them, and at least "ms=1" with a field and its check. */
START_TEST(may_ask)
{
    static const struct {
        const char *text;
        bool may;
    } lines[] = {{"ms=1,a=2*5F", true}, {"ms=12*5F", true},      {"ms=1*5F", false},
                 {"ms=1,a=2*5", false}, {"ms=1,a=2*5F ", false}, {"mS=1,a=2*5F", false}};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        begin();
        take(lines[i].text);
        ck_assert_msg(nr_draft_may_ask(&draft) == lines[i].may, "%s", lines[i].text);
        take("ms=1,a=2*5F");
        ck_assert_msg(nr_draft_may_ask(&draft) == lines[i].may, "%s", lines[i].text);
    }
    begin();
    ck_assert(!nr_draft_may_ask(&draft));
}
END_TEST

static void guess_it(void)
{
    nr_err err = {.text = ""};
    ck_assert_msg(nr_draft_guess_of(&draft, &guess, &err) == NR_OK, "%s", err.text);
}

/* "*HH" is the XOR of the bytes before it, in hexadecimal. */
static void checked(const char *body, bool right)
{
    char line[200];
    unsigned xor = 0;
    for (const char *p = body; *p; p++)
        xor ^= (unsigned char)*p;
    snprintf(line, sizeof line, "%s*%02X", body, right ? xor : xor^1);
    take(line);
}

START_TEST(nine_in_ten_checked)
{
    for (int wrong = 0; wrong < 5; wrong++) {
        begin();
        for (int i = 0; i < 20; i++)
            checked("store=20.5,air=18", i >= wrong);
        guess_it();
        ck_assert_int_eq(guess.checksum, wrong <= 2 ? NR_CHECKSUM_XOR8 : NR_CHECKSUM_NONE);
    }
}
END_TEST

/* Mean spacing of the lines, to two digits; 1 where they came all at once. */
START_TEST(spacing)
{
    static const struct {
        double step_s, said_s;
    } of[] = {{1, 1}, {0.1234, 0.12}, {0.126, 0.13}, {2.04, 2}, {2.06, 2.1}, {61.7, 62}, {0, 1}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin();
        for (int k = 0; k < 11; k++) /* jitter in between does not count */
            take_at("store=20.5,air=18",
                    5 + of[i].step_s * (k + (k > 0 && k < 10 ? 0.1 * (k % 3) : 0)));
        guess_it();
        NEAR(guess.interval_s, of[i].said_s, 1e-12);
    }
}
END_TEST

static const nr_draft_field *field(const char *name)
{
    const nr_draft_field *f = nr_draft_field_find(&guess, name);
    ck_assert_msg(f != NULL, "no field %s", name);
    return f;
}

/* Milliseconds: from 900 to 1100 in a second, in the field `ms` of pairs, the first of values; each
 * line one more: a count of lines. */
START_TEST(counters)
{
    static const struct {
        int per_s;
        nr_draft_role role;
    } of[] = {{899, NR_DRAFT_READING}, {900, NR_DRAFT_READING},  {901, NR_DRAFT_CLOCK},
              {1000, NR_DRAFT_CLOCK},  {1099, NR_DRAFT_CLOCK},   {1100, NR_DRAFT_READING},
              {1, NR_DRAFT_COUNT},     {1101, NR_DRAFT_READING}, {2, NR_DRAFT_READING}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (int lines = 2; lines <= 5; lines++) {
            nr_draft_role role = lines > 2 ? of[i].role : NR_DRAFT_READING;
            char text[80];
            begin();
            for (int k = 0; k < lines; k++) {
                snprintf(text, sizeof text, "ms=%d,other=%d,store=20.%d", 77 + k * of[i].per_s,
                         77 + k * of[i].per_s, k % 2);
                take_at(text, 3 + k);
            }
            guess_it();
            ck_assert_int_eq(guess.kind, NR_LINE_PAIRS);
            ck_assert_int_eq(field("ms")->role, role);
            ck_assert_int_eq(field("other")->role,
                             role == NR_DRAFT_CLOCK ? NR_DRAFT_READING : role);
            begin();
            for (int k = 0; k < lines; k++) {
                snprintf(text, sizeof text, "%d;%d;20.%d", 77 + k * of[i].per_s,
                         77 + k * of[i].per_s, k % 2);
                take_at(text, 3 + k);
            }
            guess_it();
            ck_assert_int_eq(guess.kind, NR_LINE_VALUES);
            ck_assert_str_eq(guess.separator, "semicolon");
            ck_assert_int_eq(field("1")->role, role);
            ck_assert_int_eq(field("2")->role, role == NR_DRAFT_CLOCK ? NR_DRAFT_READING : role);
        }
}
END_TEST

static const nr_unit *drafted_unit(const char *channel, double value)
{
    static char text[20000];
    static nr_rig rig;
    nr_err err = {.text = ""};
    char line[80];
    begin();
    for (int i = 0; i < 4; i++) {
        snprintf(line, sizeof line, "%s=%.1f,extra=0.5", channel, value);
        take(line);
    }
    guess_it();
    FILE *to = fmemopen(text, sizeof text, "w");
    nr_draft_write(to, &guess, "/dev/ttyUSB0", "/dev/ttyUSB0", 9600, false);
    long size = ftell(to);
    fclose(to);
    ck_assert_msg(
        nr_rig_parse(text, (size_t)size, "draft.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err) == NR_OK,
        "%s\n%s", err.text, text);
    return nr_rig_channel_find(&rig, channel)->unit;
}

/* No air is over 48 degC, no bath at a test's beginning over 60; water that boils (212 degF) is
 * none. */
START_TEST(too_warm_for_celsius)
{
    static const struct {
        const char *channel;
        double value;
        const char *unit;
    } of[] = {{"air", 48, "degC"},     {"air", 48.1, "degF"},    {"store", 48.1, "degC"},
              {"store", 60, "degC"},   {"store", 60.1, "degF"},  {"inlet", 60, "degC"},
              {"inlet", 60.1, "degF"}, {"outlet", 60.1, "degC"}, {"store", 211.9, "degF"},
              {"store", 212, "degC"},  {"air", 211.9, "degF"},   {"air", 212, "degC"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        const nr_unit *unit = drafted_unit(of[i].channel, of[i].value);
        ck_assert_msg(strcmp(unit->name, of[i].unit) == 0, "%s=%.1f: %s", of[i].channel,
                      of[i].value, unit->name);
    }
}
END_TEST

/* From -40 to 125 degC (what a digital thermometer of that kind reads), of temperatures. */
START_TEST(for_a_hand)
{
    static const struct {
        const char *words;
        bool can;
    } of[] = {{"t=-40", true},    {"t=-40.1", false}, {"t=125", true},  {"t=125.1", false},
              {"store=20", true}, {"sun=20", false},  {"flow=2", false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char name[8];
        begin();
        for (int k = 0; k < 4; k++)
            take(of[i].words);
        guess_it();
        snprintf(name, sizeof name, "%.*s", (int)strcspn(of[i].words, "="), of[i].words);
        ck_assert_msg(nr_draft_touchable(&guess, field(name)) == of[i].can, "%s", of[i].words);
    }
}
END_TEST

/* 48 fields have room; what follows is passed over. */
START_TEST(fields)
{
    for (int count = NR_DRAFT_FIELDS - 1; count <= NR_DRAFT_FIELDS + 2; count++) {
        char text[400] = "";
        for (int i = 0; i < count; i++) {
            size_t used = strlen(text);
            snprintf(text + used, sizeof text - used, "%s2", i > 0 ? ";" : "");
        }
        begin();
        for (int k = 0; k < 4; k++)
            take(text);
        guess_it();
        ck_assert_uint_le(guess.fields, NR_DRAFT_FIELDS);
        ck_assert_uint_eq(guess.fields,
                          (size_t)(count < NR_DRAFT_FIELDS ? count : NR_DRAFT_FIELDS));
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {what_is_text,        what_is_kept, readable, may_ask,
                                  nine_in_ten_checked, spacing,      counters, too_warm_for_celsius,
                                  for_a_hand,          fields,       NULL};
    return run_tests("draft_limits", tests);
}
