/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/text.h"
#include "tests/unit/near.h"

#include <stdint.h>

#include <locale.h>

START_TEST(numbers_are_what_strtod_says)
{
    /* strtod of the C library is the reference: correctly rounded by ISO C's recommended practice.
     * The list walks over the border of the fast path (2^53, 10^22) and both ends of the range. */
    static const char *const texts[] = {"0",
                                        "-0",
                                        "12.5",
                                        "-3e2",
                                        "+7",
                                        ".5",
                                        "5.",
                                        "0.1",
                                        "21.0625",
                                        "1e22",
                                        "1e23",
                                        "9007199254740993",
                                        "9007199254740992",
                                        "123456789012345678",
                                        "1234567890123456789",
                                        "0.000000000000000000001",
                                        "1e-22",
                                        "1e-23",
                                        "4.35",
                                        "2.675",
                                        "1.7976931348623157e308",
                                        "2.2250738585072014e-308",
                                        "5e-324",
                                        "1e-400",
                                        "0.30000000000000004",
                                        "8.5e+1",
                                        "000012.5000",
                                        "1E5",
                                        "3.14159265358979323846264338327950",
                                        "18446744073709551617",
                                        "0.36893488147419103233",
                                        "179769313486231570000000000000000000000e270"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        double value = NAN;
        ck_assert_msg(nr_parse_double(texts[i], &value), "%s refused", texts[i]);
        ck_assert_msg(value == strtod(texts[i], NULL), "%s: %.17g", texts[i], value);
    }
}
END_TEST

START_TEST(numbers_random_against_strtod)
{
    unsigned seed = 20260504;
    printf("seed %u\n", seed);
    for (int i = 0; i < 20000; i++) {
        char text[64];
        uint64_t bits = 0;
        for (int k = 0; k < 4; k++)
            bits = bits << 16 | ((unsigned)rand_r(&seed) & 0xffff);
        double d;
        memcpy(&d, &bits, sizeof d);
        if (!isfinite(d))
            continue;
        snprintf(text, sizeof text, i % 3 ? "%.*g" : "%.*e", i % 17 + 1,
                 i % 2 ? d : (double)(int32_t)bits / 1e4);
        double value = NAN;
        if (!isfinite(strtod(text, NULL)))
            continue;
        /* Check notes each assertion in a file: here that would be most of the time. */
        if (!nr_parse_double(text, &value) || value != strtod(text, NULL))
            ck_abort_msg("%s", text);
    }
}
END_TEST

START_TEST(numbers_refused)
{
    static const char *const texts[] = {"",
                                        " ",
                                        "-",
                                        ".",
                                        "e5",
                                        "1e",
                                        "1e+",
                                        "0x10",
                                        "inf",
                                        "-inf",
                                        "nan",
                                        "NaN",
                                        "infinity",
                                        "1,5",
                                        "1 2",
                                        "12.5C",
                                        "1e309",
                                        "-1e309",
                                        "1.2.3",
                                        "--1",
                                        "+-1",
                                        "1e5.5",
                                        "12a",
                                        "1_000",
                                        "\xc2\xa0\x31",
                                        "1e99999999999999999999"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        double value = 42;
        ck_assert_msg(!nr_parse_double(texts[i], &value), "\"%s\" accepted", texts[i]);
        ck_assert_msg(value == 42, "\"%s\" touched the result", texts[i]);
    }
    double value;
    ck_assert(nr_parse_double(" \t12.5 \r\n", &value) && value == 12.5);
}
END_TEST

START_TEST(numbers_do_not_follow_the_locale)
{
    /* Only where such a locale is installed does this have teeth; C.UTF-8 alone cannot fail it. */
    static const char *const names[] = {"de_DE.UTF-8", "fr_FR.UTF-8", "de_DE", "C.UTF-8"};
    for (size_t i = 0; i < 4 && !setlocale(LC_ALL, names[i]); i++)
        continue;
    double value = 0;
    char text[32];
    ck_assert(nr_parse_double("12.5", &value) && value == 12.5);
    ck_assert(nr_parse_double("1.2345678901234567890123", &value));
    NEAR(value, 1.2345678901234567890123, 0);
    ck_assert_uint_eq(nr_format_number(text, sizeof text, 12.5, 3), 6);
    ck_assert_str_eq(text, "12.500");
    setlocale(LC_ALL, "C");
}
END_TEST

START_TEST(whole_numbers)
{
    long value = 42;
    ck_assert(nr_parse_long("17", 0, 100, &value) && value == 17);
    ck_assert(nr_parse_long(" -5 ", -10, 100, &value) && value == -5);
    ck_assert(nr_parse_long("100", 0, 100, &value) && value == 100);
    static const char *const texts[] = {
        "", "-", "101", "-1", "1.0", "1e1", "0x1", "1a", "99999999999999999999", "- 1"};
    value = 42;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        ck_assert_msg(!nr_parse_long(texts[i], 0, 100, &value) && value == 42, "%s", texts[i]);
}
END_TEST

START_TEST(yes_and_no)
{
    static const char *const yes[] = {"yes", "true", "on", "1", "YES", "True"};
    static const char *const no[] = {"no", "false", "off", "0", "No"};
    static const char *const neither[] = {"", "y", "2", "yess", " yes"};
    bool value = false;
    for (size_t i = 0; i < sizeof yes / sizeof *yes; i++) {
        value = false;
        ck_assert_msg(nr_parse_yes(yes[i], &value) && value, "%s", yes[i]);
    }
    for (size_t i = 0; i < sizeof no / sizeof *no; i++) {
        value = true;
        ck_assert_msg(nr_parse_yes(no[i], &value) && !value, "%s", no[i]);
    }
    for (size_t i = 0; i < sizeof neither / sizeof *neither; i++)
        ck_assert_msg(!nr_parse_yes(neither[i], &value), "%s", neither[i]);
}
END_TEST

START_TEST(durations)
{
    static const struct {
        const char *text;
        double seconds;
    } good[] = {{"90", 90},      {"90s", 90},    {"45m", 2700},       {"2h", 7200},
                {"1h30m", 5400}, {"1d", 86400},  {"1d2h3m4s", 93784}, {"1.5h", 5400},
                {"0", 0},        {"0.25", 0.25}, {"1h5s", 3605}};
    static const char *const bad[] = {"",    "h",      "1h30", "-5",  "1x", "30m1h", "1h1h",
                                      "1 h", "1h 30m", "inf",  "1hm", "5 ", "1e999s"};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        double s = -1;
        ck_assert_msg(nr_parse_duration(good[i].text, &s), "%s", good[i].text);
        NEAR_AT(good[i].text, s, good[i].seconds, 1e-9);
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        double s = -1;
        ck_assert_msg(!nr_parse_duration(bad[i], &s) && s == -1, "\"%s\" accepted", bad[i]);
    }
}
END_TEST

START_TEST(numbers_written)
{
    static const struct {
        double value;
        int decimals;
        const char *text;
    } rows[] = {{21.0625, 4, "21.0625"},    {0, 3, "0.000"},     {-0.0, 3, "0.000"},
                {-0.0001, 3, "0.000"},      {-0.5, 1, "-0.5"},   {812, -1, "812"},
                {0.001234, -1, "0.001234"}, {1e-9, -1, "1e-09"}, {-0.0, -1, "0"},
                {12345.678, 0, "12346"},    {NAN, 3, ""},        {INFINITY, 3, ""}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[400] = "x";
        size_t length = nr_format_number(text, sizeof text, rows[i].value, rows[i].decimals);
        ck_assert_str_eq(text, rows[i].text);
        ck_assert_uint_eq(length, strlen(rows[i].text));
    }
    char small[4] = "xyz";
    ck_assert_uint_eq(nr_format_number(small, sizeof small, 1234, 0), 0);
    ck_assert_str_eq(small, "");
    char huge[400];
    ck_assert_uint_eq(nr_format_number(huge, sizeof huge, 1e300, 4), 306);
}
END_TEST

static void clean_is(const char *from, size_t length, const char *wanted)
{
    char out[200];
    nr_clean(out, sizeof out, from, length);
    ck_assert_str_eq(out, wanted);
}
#define CLEAN(from, wanted) clean_is(from, sizeof(from) - 1, wanted)

START_TEST(hostile_text)
{
    CLEAN("glass on", "glass on");
    CLEAN("\x1b]0;title\x07", "?]0;title?");     /* sets a terminal's title */
    CLEAN("\x1b[2J\x1b[31mred", "?[2J?[31mred"); /* clears a screen */
    CLEAN("a\r\nb\tc\0d\x7f", "a??b?c?d?");
    CLEAN("\xc2\x9b"
          "2J",
          "?2J"); /* CSI as C1 in UTF-8 */
    CLEAN("\x9b"
          "2J",
          "?2J"); /* CSI as a lone byte */
    CLEAN("42 \xc2\xb0"
          "C \xe2\x82\xac",
          "42 \xc2\xb0"
          "C \xe2\x82\xac");
    CLEAN("\xf0\x9f\x98\x80", "\xf0\x9f\x98\x80");
    CLEAN("ab\xe2\x80\xae"
          "dc",
          "ab?dc");                            /* right-to-left override */
    CLEAN("\xe2\x81\xa6x\xe2\x81\xa9", "?x?"); /* isolates */
    CLEAN("a\xe2\x80\xa8"
          "b\xe2\x80\xa9",
          "a?b?");           /* line, paragraph separator */
    CLEAN("\xc0\xaf", "??"); /* overlong '/' */
    CLEAN("\xe0\x80\xaf", "???");
    CLEAN("\xed\xa0\x80", "???");      /* a surrogate */
    CLEAN("\xf4\x90\x80\x80", "????"); /* beyond U+10FFFF */
    CLEAN("\xff\xfe", "??");
    CLEAN("\xe2\x82", "??"); /* cut short */
    CLEAN("\xe2\x82"
          "A",
          "??A");
    clean_is("\xe2\x82\xac", 2, "??"); /* what lies behind the end does not count */
    CLEAN("", "");
}
END_TEST

START_TEST(clean_never_cuts_a_character)
{
    char out[5];
    nr_clean(out, sizeof out,
             "abc\xc2\xb0"
             "C",
             6);
    ck_assert_str_eq(out, "abc");
    nr_clean(out, 4, "a\xe2\x82\xac", 4);
    ck_assert_str_eq(out, "a");
    nr_clean(out, 1, "abc", 3);
    ck_assert_str_eq(out, "");
    out[0] = 'x';
    nr_clean(out, 0, "abc", 3);
    ck_assert_int_eq(out[0], 'x');
}
END_TEST

START_TEST(clean_output_is_always_clean)
{
    unsigned seed = 7;
    printf("seed %u\n", seed);
    for (int i = 0; i < 20000; i++) {
        char from[40], once[64], twice[64];
        size_t length = (size_t)rand_r(&seed) % sizeof from;
        for (size_t k = 0; k < length; k++)
            from[k] = (char)rand_r(&seed);
        nr_clean(once, sizeof once, from, length);
        nr_clean(twice, sizeof twice, once, strlen(once));
        bool clean = strcmp(once, twice) == 0;
        for (const char *p = once; *p; p++)
            clean = clean && (unsigned char)*p >= 0x20 && *p != 0x7f;
        if (!clean)
            ck_abort_msg("\"%s\" becomes \"%s\"", once, twice);
    }
}
END_TEST

START_TEST(copy_and_trim)
{
    char to[4] = "xyz", text[] = " \t a b \r\n", blanks[] = "  ";
    ck_assert(nr_copy(to, sizeof to, "abc"));
    ck_assert_str_eq(to, "abc");
    ck_assert(!nr_copy(to, sizeof to, "abcd"));
    ck_assert_str_eq(to, "abc");
    ck_assert(!nr_copy(to, 0, ""));
    ck_assert_str_eq(nr_trim(text), "a b");
    ck_assert_str_eq(nr_trim(blanks), "");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {numbers_are_what_strtod_says,
                                  numbers_random_against_strtod,
                                  numbers_refused,
                                  numbers_do_not_follow_the_locale,
                                  whole_numbers,
                                  yes_and_no,
                                  durations,
                                  numbers_written,
                                  hostile_text,
                                  clean_never_cuts_a_character,
                                  clean_output_is_always_clean,
                                  copy_and_trim,
                                  NULL};
    return run_tests("text", tests);
}
