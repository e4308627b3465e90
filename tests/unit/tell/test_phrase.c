/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Blanks of sentences. Expected values are worked out by hand from the exact factors of NIST SP 811
 * (from memory): degF = 1.8 degC + 32, gallon 3.785411784 L, Btu/(h ft2) 3.154591 W/m2. */
#include "analyze/tell/phrase.h"
#include "analyze/tell/tell.h"
#include "tests/unit/near.h"

static const char *said(const char *pattern, const nr_blanks *blanks, nr_units units)
{
    static char text[400];
    nr_phrase p = nr_phrase_begin(text, sizeof text, units);
    nr_phrase_say(&p, pattern, blanks);
    return text;
}

static void check(const char *pattern, double number, const char *si, const char *us)
{
    const nr_blanks b = {.number = {number, 2, 0.03}, .name = {"store", "{0 area .1f}"}};
    ck_assert_str_eq(said(pattern, &b, NR_UNITS_SI), si);
    ck_assert_str_eq(said(pattern, &b, NR_UNITS_US), us);
}

START_TEST(numbers)
{
    check("{0 temperature .0f}", 40, "40 degC", "104 degF");
    check("{0 temperature .1f bare} degrees", 15.62, "15.6 degrees", "60.1 degrees");
    check("{0 difference +.1f}", 0.42, "+0.4 K", "+0.8 degF");
    check("{0 difference +.1f}", -0.42, "-0.4 K", "-0.8 degF");
    check("{0 difference .0f}", 0.4, "0 K", "1 degF");   /* rounded once, from the full number */
    check("{0 difference .0f}", -0.4, "0 K", "-1 degF"); /* and no -0 */
    check("{0 irradiance .0f}", 1000, "1000 W/m2", "317 Btu/(h ft2)");
    check("{0 water .3g}", 40, "40 kg", "10.6 gal"); /* 40/0.9982/3.785411784 = 10.586 */
    check("{0 volume .0f}", 20, "20 L",
          "5.3 gal"); /* a decimal more: a gallon is nearly ten times */
    check("{0 percent .0f}", 0.725, "73 %", "73 %"); /* a half goes up as it stands in decimal */
    check("{0 percent .1f}", 0.1, "10.0 %", "10.0 %");
    check("{0 number .3g}", 0.0421, "0.0421", "0.0421");
    check("{0 minutes u2}", 71.4 * 60, "71.4 min", "71.4 min"); /* tenths at most */
    check("{0 temperature u2}", 43.2187, "43.219 degC", "109.794 degF");
    check("{=1000 irradiance .0f}", 0, "1000 W/m2", "317 Btu/(h ft2)");
    check("{0 number .1f}", NAN, "?", "?");
}
END_TEST

START_TEST(times)
{
    check("{0 span}", 71 * 60, "71 minutes", "71 minutes");
    check("{0 span}", 205 * 60, "3 h 25 min", "3 h 25 min");
    check("{0 span}", 180 * 60, "3 h", "3 h");
    check("{0 span}", INFINITY, "never", "never");
    check("{0 contact}", 1, "less than 2 seconds", "less than 2 seconds");
    check("{0 contact}", 2, "about 2 seconds", "about 2 seconds");
    check("{0 contact}", 89.9, "about 90 seconds", "about 90 seconds");
    check("{0 contact}", 180, "about 3 minutes", "about 3 minutes");
}
END_TEST

START_TEST(choices_and_names)
{
    check("{0 number .0f} {0#time|times}", 1, "1 time", "1 time");
    check("{0 number .0f} {0#time|times}", 2, "2 times", "2 times");
    check("{0 number .0f} {0#time|times}", 0, "0 times", "0 times");
    check("{0|none|one|two}", 0, "none", "none");
    check("{0|none|one|two}", 2, "two", "two");
    check("{0|none|one|two}", 9, "two", "two");
    check("{0|none|one}", -1, "none", "none");
    check("{0|none|one}", NAN, "none", "none");
    check("<{0||, seen}>", 0, "<>", "<>");
    check("{a} and {c}", 0, "store and ", "store and ");
    check("{b}", 0, "{0 area .1f}", "{0 area .1f}"); /* what a name brings is no blank */
}
END_TEST

START_TEST(own_kind)
{
    const nr_blanks b = {.number = {10, 20}, .own = NR_SHOWN_TEMPERATURE};
    ck_assert_str_eq(said("{0 own .0f bare} to {1 own .0f}", &b, NR_UNITS_US), "50 to 68 degF");
}
END_TEST

/* A fault in a pattern is seen by whoever reads it, and by test_wordings. */
START_TEST(no_blanks)
{
    static const char *const bad[] = {
        "{}",          "{z}",         "{0}",           "{0 nothing .1f}",
        "{0 area}",    "{0 area 1f}", "{12 area .1f}", "{0 area .1f bear}",
        "{0 area .1e}"};
    const nr_blanks b = {.number = {1}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(strstr(said(bad[i], &b, NR_UNITS_SI), "{?}") != NULL, "%s", bad[i]);
    ck_assert_str_eq(said("open {0 area", &b, NR_UNITS_SI), "open {?}");
}
END_TEST

/* Never beyond the room, always terminated, and what fits is what the whole begins with. */
START_TEST(small_rooms)
{
    const char *pattern = "{a}: {0 water .0f} of water from {1 temperature .1f} {2|to|up to}";
    const nr_blanks b = {.number = {40, 15, 1}, .name = {"a name"}};
    char whole[400], room[80];
    (void)snprintf(whole, sizeof whole, "%s", said(pattern, &b, NR_UNITS_US));
    for (size_t size = 0; size < sizeof room; size++) {
        memset(room, 'x', sizeof room);
        nr_phrase p = nr_phrase_begin(room, size, NR_UNITS_US);
        nr_phrase_say(&p, pattern, &b);
        if (size == 0)
            ck_assert_int_eq(room[0], 'x');
        else
            ck_assert(strlen(room) < size && strncmp(room, whole, strlen(room)) == 0);
        ck_assert_int_eq(room[size], 'x');
    }
}
END_TEST

START_TEST(every_kind_has_a_word)
{
    for (int k = 0; k < NR_SHOWN_COUNT; k++) {
        nr_shown back;
        ck_assert_ptr_nonnull(nr_shown_word((nr_shown)k));
        ck_assert(nr_shown_of_word(nr_shown_word((nr_shown)k), &back) && (int)back == k);
    }
    nr_shown what;
    ck_assert(!nr_shown_of_word("degC", &what));
}
END_TEST

/* Two are named, more are counted. */
START_TEST(title_of_a_comparison)
{
    static nr_compare c = {.builds = 2, .label = {"glass", "film", "bare"}};
    char text[200];
    nr_tell_compare_title(text, sizeof text, &c);
    ck_assert_str_eq(text, "glass against film");
    c.builds = 3;
    nr_tell_compare_title(text, sizeof text, &c);
    ck_assert_str_eq(text, "3 solar collectors compared");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        numbers,   times,       choices_and_names,     own_kind,
        no_blanks, small_rooms, every_kind_has_a_word, title_of_a_comparison,
        NULL};
    return run_tests("phrase", tests);
}
