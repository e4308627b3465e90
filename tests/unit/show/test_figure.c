/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers that keep their value inside a sentence: shown in US units they are right to the last
 * digit. Expected digits come from NIST SP 811's exact definitions (from memory), worked out here
 * in long double from the number itself and rounded by printf. */
#include "analyze/answer/figure.h"
#include "analyze/show/display.h"
#include "tests/unit/near.h"

typedef struct kind {
    const char *unit, *us;
    long double factor, offset;
} kind;

#define BTU 1055.05585262L
#define FT 0.3048L
#define K_F (5.0L / 9.0L)
#define GAL 3.785411784L

static const kind kinds[] = {
    {"degC", "degF", 1 / K_F, 32},
    {"K", "degF", 1 / K_F, 0},
    {"W/m2", "Btu/(h ft2)", 3600 * FT *FT / BTU, 0},
    {"m2 K/W", "h ft2 degF/Btu", BTU / (3600 * FT * FT * K_F), 0},
    {"W/(m2 K)", "Btu/(h ft2 degF)", 3600 * FT *FT *K_F / BTU, 0},
    {"W/K", "Btu/(h degF)", 3600 * K_F / BTU, 0},
    {"L/min", "gal/min", 1 / GAL, 0},
    {"L/(min m2)", "gal/(min ft2)", FT *FT / GAL, 0},
    {"kg", "gal", 1 / (GAL * 0.9982L), 0}, /* water at 20 degC: 0.9982 kg/L, CRC Handbook */
    {"m2", "ft2", 1 / (FT * FT), 0},
    {"m", "ft", 1 / FT, 0},
    {"m/s", "mph", 3600 / 1609.344L, 0},
    {"kJ/(m2 K)", "Btu/(ft2 degF)", 1000 * FT *FT *K_F / BTU, 0},
    {"MJ", "Btu", 1e6L / BTU, 0},
    {"W", "Btu/h", 3600 / BTU, 0},
    /* Pound-force per square inch: 0.45359237 kg x 9.80665 m/s2 over (0.0254 m)^2. */
    {"kPa", "psi", 1000 / (0.45359237L * 9.80665L / (0.0254L * 0.0254L)), 0},
};
#define KINDS (sizeof kinds / sizeof *kinds)

/* Halves are where rounding may go either way: numbers next to one are left out. */
static bool at_a_half(long double value, int place)
{
    long double scaled = fabsl(value) * powl(10, place);
    return fabsl(scaled - floorl(scaled) - 0.5L) < 1e-6L;
}

START_TEST(decimals_to_the_last_digit)
{
    size_t checked = 0;
    for (size_t k = 0; k < KINDS; k++) {
        for (int i = -400; i < 400; i++) {
            double si = 0.137 * i + 0.0211 * (i % 7);
            for (int d = 0; d < 3; d++) {
                char format[8], said[200], shown[200], want[200];
                snprintf(format, sizeof format, "%%.%df", d);
                snprintf(said, sizeof said, "about (%s %s).", NR_FIGURE(format, si), kinds[k].unit);
                /* As many decimals as written, moved by the nearest power of ten. */
                int place = d - (int)lroundl(log10l(kinds[k].factor));
                long double us = (long double)si * kinds[k].factor + kinds[k].offset;
                if (at_a_half(us, place) || fabsl(us) * powl(10, place) < 1)
                    continue;
                long double power = powl(10, place);
                snprintf(want, sizeof want, "about (%.*Lf %s).", place > 0 ? place : 0,
                         place < 0 ? roundl(us * power) / power : us, kinds[k].us);
                nr_display_text(shown, sizeof shown, said, NR_UNITS_US);
                ck_assert_str_eq(shown, want);
                checked++;
            }
        }
    }
    ck_assert_uint_gt(checked, 20000);
}
END_TEST

START_TEST(significant_digits_to_the_last)
{
    for (size_t k = 0; k < KINDS; k++) {
        for (int i = 1; i < 2000; i++) {
            double si = 0.0437 * i;
            char said[200], shown[200], number[40];
            snprintf(said, sizeof said, "at most %s %s", NR_FIGURE("%.3g", si), kinds[k].unit);
            nr_display_text(shown, sizeof shown, said, NR_UNITS_US);
            ck_assert_int_eq(sscanf(shown, "at most %39s", number), 1);
            long double us = (long double)si * kinds[k].factor + kinds[k].offset;
            int place = 2 - (int)floorl(log10l(fabsl(us)));
            if (at_a_half(us, place))
                continue;
            ck_assert_msg(fabsl(strtold(number, NULL) - us) <= 0.5L * powl(10, -place) * 1.000001L,
                          "%s: %.17g is %.12Lg, shown %s", kinds[k].unit, si, us, shown);
        }
    }
}
END_TEST

static void check(const char *said, const char *si, const char *us)
{
    char text[400];
    nr_display_text(text, sizeof text, said, NR_UNITS_SI);
    ck_assert_str_eq(text, si);
    nr_figure_strip(text, sizeof text, said);
    ck_assert_str_eq(text, si);
    nr_display_text(text, sizeof text, said, NR_UNITS_US);
    ck_assert_str_eq(text, us);
}

#define SAY(...) (snprintf(said, sizeof said, __VA_ARGS__), said)

START_TEST(sentences)
{
    char said[600];
    /* 0.41 K is 0.74 degF: rounded first it would have been 0. */
    check(SAY("Tested were %s K to %s K above", NR_FIGURE("%.0f", 0.41), NR_FIGURE("%.0f", 14.7)),
          "Tested were 0 K to 15 K above", "Tested were 1 degF to 26 degF above");
    check(SAY("to +-%s W/(m2 K) (95 %%)", NR_FIGURE("%.2g", 0.7139)), "to +-0.71 W/(m2 K) (95 %)",
          "to +-0.13 Btu/(h ft2 degF) (95 %)");
    check(SAY("%s degC (95 %%: %s to %s degC).", NR_FIGURE("%.1f", 40.04), NR_FIGURE("%.1f", 38.0),
              NR_FIGURE("%.1f", 42.27)),
          "40.0 degC (95 %: 38.0 to 42.3 degC).", "104.1 degF (95 %: 100.4 to 108.1 degF).");
    /* What a person gave in whole degrees Fahrenheit comes back whole. */
    check(SAY("from %s to %s degC", NR_FIGURE("%.4g", (60 - 32) / 1.8),
              NR_FIGURE("%.4g", (110 - 32) / 1.8)),
          "from 15.56 to 43.33 degC", "from 60 to 110 degF");
    check(SAY("%s K to %s K", NR_FIGURE("%+.1f", -0.26), NR_FIGURE("%+.1f", 2.2)),
          "-0.3 K to +2.2 K", "-0.5 degF to +4.0 degF");
    check(SAY("%s K", NR_FIGURE("%.0f", -0.2)), "0 K", "0 degF");
    check(SAY("in %s minutes of %s", NR_FIGURE("%.0f", 71.2), NR_FIGURE("%.0f", 7.0)),
          "in 71 minutes of 7", "in 71 minutes of 7");
    check(SAY("%s W/K", NR_FIGURE("%.2f", NAN)), "? W/K", "? W/K");
    /* Without a mark: exact as written. 49 degC is 120.2, 1000 W/m2 316.998. */
    check("from 49 degC, in 1000 W/m2", "from 49 degC, in 1000 W/m2",
          "from 120 degF, in 317 Btu/(h ft2)");
}
END_TEST

/* Cut anywhere, by the sentence's room or by the reader's, no mark is left to be seen. */
START_TEST(cut_anywhere)
{
    char said[300], cut[300], shown[300];
    SAY("Below %s K (95 %%: %s to %s K) over the air, %s kg.", NR_FIGURE("%.1f", 5.55),
        NR_FIGURE("%.1f", 2.25), NR_FIGURE("%.1f", 9.75), NR_FIGURE("%.3g", 40.0));
    for (size_t room = 1; room <= strlen(said) + 1; room++) {
        snprintf(cut, room, "%s", said);
        for (size_t size = 1; size < sizeof shown; size += 7) {
            for (int units = 0; units < 2; units++) {
                memset(shown, 'x', sizeof shown);
                nr_display_text(shown, size, cut, units ? NR_UNITS_US : NR_UNITS_SI);
                ck_assert_uint_lt(strnlen(shown, sizeof shown), size);
                ck_assert_ptr_null(strpbrk(shown, "\x02\x03|x"));
            }
        }
    }
}
END_TEST

/* Control characters that are no mark are left for nr_clean, with the text behind them. */
START_TEST(not_a_mark)
{
    char out[100];
    nr_figure_strip(out, sizeof out, "wash\x02stand \x03 2\x02.");
    ck_assert_str_eq(out, "wash\x02stand \x03 2\x02.");
    nr_figure_strip(out, sizeof out, "a \x02%9.9f|1\x03 b");
    ck_assert_str_eq(out, "a ");
    nr_figure_mark mark;
    ck_assert(!nr_figure_at("\x02%.0d|1\x03"
                            "1",
                            &mark));
    ck_assert(!nr_figure_at("\x02%.0f|1e999\x03"
                            "1",
                            &mark));
    ck_assert(!nr_figure_at("1", &mark));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {decimals_to_the_last_digit,
                                  significant_digits_to_the_last,
                                  sentences,
                                  cut_anywhere,
                                  not_a_mark,
                                  NULL};
    return run_tests("figure", tests);
}
