/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines to fields and numbers. */
#include "logger/wire/fields.h"

#include "tests/unit/near.h"

/* Fields joined by '|' as key:value. */
static void join(const nr_fields *f, char *out, size_t size)
{
    out[0] = '\0';
    for (size_t i = 0; i < f->count; i++) {
        size_t used = strlen(out);
        snprintf(out + used, size - used, "%s%.*s%s%.*s", i ? "|" : "", (int)f->field[i].key_length,
                 f->field[i].key ? f->field[i].key : "", f->field[i].key ? ":" : "",
                 (int)f->field[i].value_length, f->field[i].value);
    }
}

/* The first two are the NMEA 0183 standard's own examples; the others are computed by hand from
 * the definition, so are the two adapter lines. */
START_TEST(test_xor8)
{
    static const struct {
        const char *text;
        unsigned sum;
    } known[] = {{"GPGLL,5057.970,N,00146.110,E,142451,A", 0x27},
                 {"GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,", 0x47},
                 {"store=21.50,inlet=19.81,sun=812", 0x6C},
                 {"21.50,19.81,24.37,18.90,812,1.05", 0x08},
                 {"", 0x00}};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        ck_assert_uint_eq(nr_xor8(known[i].text, strlen(known[i].text)), known[i].sum);
}
END_TEST

#define VALUES .line = NR_LINE_VALUES, .separator = ','
#define PAIRS .line = NR_LINE_PAIRS, .separator = ','
#define SUM .checksum = NR_CHECKSUM_XOR8

static const struct {
    nr_rig_adapter adapter;
    const char *line;
    nr_line_fault fault;
    const char *fields;
} lines[] = {
    {{VALUES}, "21.50,19.81", NR_LINE_GOOD, "21.50|19.81"},
    {{VALUES}, " 21.50 ,\t19.81 ", NR_LINE_GOOD, "21.50|19.81"},
    {{VALUES}, "21.50,,19.81,", NR_LINE_GOOD, "21.50||19.81|"},
    {{VALUES}, "21.50", NR_LINE_GOOD, "21.50"},
    {{.line = NR_LINE_VALUES, .separator = ';'}, "1,5;2,5", NR_LINE_GOOD, "1,5|2,5"},
    {{.line = NR_LINE_VALUES, .separator = '\t'}, "1\t2\t\t3", NR_LINE_GOOD, "1|2||3"},
    {{.line = NR_LINE_VALUES, .separator = ' '}, "1  2 \t 3", NR_LINE_GOOD, "1|2|3"},
    {{PAIRS}, "store=21.50,inlet=19.81", NR_LINE_GOOD, "store:21.50|inlet:19.81"},
    {{PAIRS}, " store = 21.50 , inlet = ", NR_LINE_GOOD, "store:21.50|inlet:"},
    {{PAIRS}, "hello,store=21.50,", NR_LINE_GOOD, "store:21.50"},
    {{PAIRS}, "a=b=c", NR_LINE_GOOD, "a:b=c"},
    {{PAIRS}, "=5,a=6", NR_LINE_GOOD, ":5|a:6"},
    {{.line = NR_LINE_PAIRS, .separator = ' '}, "a=1 b=2", NR_LINE_GOOD, "a:1|b:2"},
    {{PAIRS}, "hello there", NR_LINE_NOT_PAIRS, NULL},
    {{PAIRS}, "", NR_LINE_EMPTY, NULL},
    {{VALUES}, "   ", NR_LINE_EMPTY, NULL},
    {{VALUES}, "# sensors ready", NR_LINE_COMMENT, NULL},
    {{VALUES, SUM}, "# sensors ready", NR_LINE_COMMENT, NULL},
    {{VALUES}, "21.5\x1b[2J,19", NR_LINE_GARBAGE, NULL},
    {{VALUES}, "21.5\x7f", NR_LINE_GARBAGE, NULL},
    {{PAIRS, SUM},
     "store=21.50,inlet=19.81,sun=812*6C",
     NR_LINE_GOOD,
     "store:21.50|inlet:19.81|sun:812"},
    {{PAIRS, SUM},
     "store=21.50,inlet=19.81,sun=812*6c ",
     NR_LINE_GOOD,
     "store:21.50|inlet:19.81|sun:812"},
    {{VALUES, SUM},
     "21.50,19.81,24.37,18.90,812,1.05*08",
     NR_LINE_GOOD,
     "21.50|19.81|24.37|18.90|812|1.05"},
    {{VALUES, SUM}, "21.50,19.81,24.37,18.90,812,1.05*09", NR_LINE_BAD_CHECKSUM, NULL},
    {{VALUES, SUM}, "21.51,19.81,24.37,18.90,812,1.05*08", NR_LINE_BAD_CHECKSUM, NULL},
    {{VALUES, SUM}, "21.50,19.81", NR_LINE_NO_CHECKSUM, NULL},
    {{VALUES, SUM}, "21.50,19.81*", NR_LINE_NO_CHECKSUM, NULL},
    {{VALUES, SUM}, "21.50,19.81*8", NR_LINE_NO_CHECKSUM, NULL},
    {{VALUES, SUM}, "21.50,19.81*0G", NR_LINE_NO_CHECKSUM, NULL},
    {{VALUES, SUM}, "21.50*08,19.81", NR_LINE_NO_CHECKSUM, NULL},
};

START_TEST(test_split)
{
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        nr_fields f;
        char found[512];
        nr_line_fault fault =
            nr_fields_split(&lines[i].adapter, lines[i].line, strlen(lines[i].line), &f);
        ck_assert_msg(fault == lines[i].fault, "\"%s\": %s, expected %s", lines[i].line,
                      nr_line_fault_text(fault), nr_line_fault_text(lines[i].fault));
        if (fault != NR_LINE_GOOD)
            continue;
        join(&f, found, sizeof found);
        ck_assert_str_eq(found, lines[i].fields);
    }
}
END_TEST

START_TEST(test_too_many)
{
    char line[2 * NR_FIELDS_MAX + 2];
    nr_rig_adapter values = {VALUES};
    nr_fields f;
    for (size_t i = 0; i < NR_FIELDS_MAX; i++)
        memcpy(line + 2 * i, "1,", 2);
    ck_assert_int_eq(nr_fields_split(&values, line, 2 * NR_FIELDS_MAX - 1, &f), NR_LINE_GOOD);
    ck_assert_uint_eq(f.count, NR_FIELDS_MAX);
    ck_assert_int_eq(nr_fields_split(&values, line, 2 * NR_FIELDS_MAX, &f), NR_LINE_TOO_MANY);
}
END_TEST

START_TEST(test_json_object)
{
    nr_rig_adapter pairs = {PAIRS};
    nr_fields f;
    double value;
    const char *line =
        " {\"Tank\": \"68.2F\", \"a,b\":2, \"deep\":{\"x\":1,\"y\":2}, \"list\":[1,2], "
        "\"none\":null, \"t\" : -3.5e1} ";
    ck_assert_int_eq(nr_fields_split(&pairs, line, strlen(line), &f), NR_LINE_GOOD);
    ck_assert_uint_eq(f.count, 6);
    ck_assert(nr_field_number(nr_fields_find(&f, NR_LINE_PAIRS, "Tank"), &value) && value == 68.2);
    ck_assert(nr_field_number(nr_fields_find(&f, NR_LINE_PAIRS, "a,b"), &value) && value == 2);
    ck_assert(nr_field_number(nr_fields_find(&f, NR_LINE_PAIRS, "t"), &value) && value == -35);
    ck_assert(!nr_field_number(nr_fields_find(&f, NR_LINE_PAIRS, "deep"), &value));
    ck_assert(!nr_field_number(nr_fields_find(&f, NR_LINE_PAIRS, "none"), &value));
    static const char *const bad[] = {"{}", "{\"store\":\"20}", "{:", "{\"a\"}"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_int_eq(nr_fields_split(&pairs, bad[i], strlen(bad[i]), &f), NR_LINE_NOT_PAIRS);
}
END_TEST

START_TEST(test_numbers_with_units)
{
    static const struct {
        const char *text, *unit;
        double value;
    } good[] = {{"68.2F", "degF", 68.2},
                {"20 degC", "degC", 20},
                {"21.5\xc2\xb0"
                 "C",
                 "degC", 21.5},
                {"850W/m2", "W_m2", 850},
                {"12.1V", "V", 12.1},
                {"55%", "percent", 55},
                {"-3e1C", "degC", -30}};
    static const char *const bad[] = {"F", "68.2f", "68.2FF", "68.2 bananas", "C20", "12.5W/m"};
    double value;
    const nr_unit *unit;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        nr_field f = {.value = good[i].text, .value_length = strlen(good[i].text)};
        ck_assert_msg(nr_field_reading(&f, &value, &unit) && value == good[i].value, "%s",
                      good[i].text);
        ck_assert(unit && strcmp(unit->name, good[i].unit) == 0);
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        nr_field f = {.value = bad[i], .value_length = strlen(bad[i])};
        ck_assert_msg(!nr_field_reading(&f, &value, &unit), "%s", bad[i]);
    }
}
END_TEST

START_TEST(test_numbers)
{
    static const struct {
        const char *text;
        double value; /* NAN: no number */
    } numbers[] = {{"21.50", 21.5}, {"-3e2", -300}, {"+4", 4},      {"", NAN},      {"nan", NAN},
                   {"inf", NAN},    {"0x10", NAN},  {"12a", NAN},   {"1.2.3", NAN}, {"ERR", NAN},
                   {"--", NAN},     {"1,5", NAN},   {"1e999", NAN}, {"12 13", NAN}};
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        nr_field f = {.value = numbers[i].text, .value_length = strlen(numbers[i].text)};
        double value = 7;
        bool is = nr_field_number(&f, &value);
        ck_assert_msg(is == !isnan(numbers[i].value), "\"%s\"", numbers[i].text);
        ck_assert_msg(is ? value == numbers[i].value : isnan(value), "\"%s\" gave %g",
                      numbers[i].text, value);
    }
    /* The field ends where it ends: no reading beyond it. */
    nr_field part = {.value = "123456", .value_length = 3};
    double value = 0;
    ck_assert(nr_field_number(&part, &value));
    ck_assert(value == 123);
}
END_TEST

START_TEST(test_find)
{
    nr_rig_adapter pairs = {PAIRS}, values = {VALUES};
    nr_fields f;
    const char *line = "air=1,air2=2,a=3";
    ck_assert_int_eq(nr_fields_split(&pairs, line, strlen(line), &f), NR_LINE_GOOD);
    ck_assert(nr_fields_find(&f, NR_LINE_PAIRS, "air2")->value[0] == '2');
    ck_assert(nr_fields_find(&f, NR_LINE_PAIRS, "a")->value[0] == '3');
    ck_assert_ptr_null(nr_fields_find(&f, NR_LINE_PAIRS, "ai"));
    line = "5,6,7";
    ck_assert_int_eq(nr_fields_split(&values, line, strlen(line), &f), NR_LINE_GOOD);
    ck_assert(nr_fields_find(&f, NR_LINE_VALUES, "3")->value[0] == '7');
    ck_assert_ptr_null(nr_fields_find(&f, NR_LINE_VALUES, "4"));
    ck_assert_ptr_null(nr_fields_find(&f, NR_LINE_VALUES, "0"));
    ck_assert_ptr_null(nr_fields_find(&f, NR_LINE_VALUES, "air"));
}
END_TEST

/* A fault added to the enum without words would be shown as nothing. */
START_TEST(test_every_fault_has_words)
{
    for (int i = 0; i < NR_LINE_FAULTS; i++)
        ck_assert_msg(nr_line_fault_text((nr_line_fault)i) != NULL &&
                          strlen(nr_line_fault_text((nr_line_fault)i)) > 3,
                      "fault %d", i);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_json_object,
                                  test_numbers_with_units,
                                  test_xor8,
                                  test_split,
                                  test_too_many,
                                  test_numbers,
                                  test_find,
                                  test_every_fault_has_words,
                                  NULL};
    return run_tests("fields", tests);
}
