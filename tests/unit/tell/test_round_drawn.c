/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rounding worked out in whole numbers: a decimal of up to nine figures, drawn, is rounded by
 * counting in its last place, halves away from zero as they stand in decimal (round.h). */
#include "analyze/tell/round.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <stdbool.h>

#define DRAWS 400

static uint64_t state = 8401;

static long long drawn(long long below)
{
    return (long long)(chance_share(&state) * (double)below);
}

static long long power_of_ten(int n)
{
    long long p = 1;
    for (; n > 0; n--)
        p *= 10;
    return p;
}

static int figures_of(long long n)
{
    int count = 0;
    for (; n > 0; n /= 10)
        count++;
    return count;
}

/* A decimal: figures times ten to minus `places`. Its double is the nearest there is. */
typedef struct decimal {
    long long figures;
    int places;
    double value;
} decimal;

static decimal decimal_of(long long figures, int places)
{
    char text[40];
    (void)snprintf(text, sizeof text, "%llde%d", figures, -places);
    return (decimal){figures, places, strtod(text, NULL)};
}

/* Units of the last kept place, of figures >= 0. */
static long long rounded(const decimal *d, int place)
{
    if (place >= d->places)
        return d->figures * power_of_ten(place - d->places);
    long long unit = power_of_ten(d->places - place);
    return d->figures / unit + (2 * (d->figures % unit) >= unit ? 1 : 0);
}

/* `units` of 10^-place as text. */
static void written(long long units, int place, bool minus, char *text, size_t size)
{
    char all[24], *end = all;
    /* As many figures as there are places, and one before the point. */
    (void)snprintf(all, sizeof all, "%0*lld", place > 0 && place < 15 ? place + 1 : 1, units);
    end += strlen(all) - (place > 0 ? (size_t)place : 0);
    (void)snprintf(text, size, "%s%.*s%s%s", minus && units > 0 ? "-" : "", (int)(end - all), all,
                   place > 0 ? "." : "", end);
    for (; place < 0 && units > 0; place++)
        strcat(text, "0");
}

static decimal draw(int figures, int most_places)
{
    return decimal_of(1 + drawn(power_of_ten(1 + (int)drawn(figures)) - 1),
                      (int)drawn(most_places + 1));
}

START_TEST(texts)
{
    for (int i = 0; i < DRAWS; i++) {
        decimal d = draw(7, 6);
        /* Every other one ends in a half of the place that it is rounded to. */
        if (i % 2)
            d = decimal_of(10 * (d.figures / 10) + 5, d.places);
        int place = d.places - (int)drawn(4) + (i % 5 == 0);
        place = place < -2 ? -2 : place;
        long long units = rounded(&d, place);
        for (int minus = 0; minus < 2; minus++) {
            char want[60], got[NR_ROUNDED];
            written(units, place, minus, want, sizeof want);
            ck_assert_ptr_eq(nr_round_text(minus ? -d.value : d.value, place, got), got);
            ck_assert_msg(strcmp(want, got) == 0, "%.12g to %d: %s, not %s", d.value, place, got,
                          want);
        }
    }
}
END_TEST

/* The place that keeps so many figures, counted after rounding. */
static int place_of(const decimal *u, int digits)
{
    int place = digits - figures_of(u->figures) + u->places;
    return rounded(u, place) >= power_of_ten(digits) ? place - 1 : place;
}

START_TEST(places)
{
    for (int i = 0; i < DRAWS; i++) {
        decimal u = draw(5, 6);
        if (i % 4 == 0) /* 995 and the like: round up into another figure */
            u = decimal_of(power_of_ten(1 + (int)drawn(5)) - drawn(6) - (i % 8 ? 0 : 1), u.places);
        if (u.figures <= 0)
            continue;
        for (int digits = 1; digits <= 4; digits++)
            ck_assert_msg(nr_round_place(u.value, digits) == place_of(&u, digits),
                          "%.12g, %d: %d, not %d", u.value, digits, nr_round_place(u.value, digits),
                          place_of(&u, digits));
    }
}
END_TEST

/* Twelve decimals are the finest, 10^18 the coarsest; beyond, no place. */
START_TEST(ends_of_places)
{
    static const struct {
        double u;
        int digits, place;
    } cases[] = {{1.1e-12, 1, 12},          {1.1e-13, 1, NR_NO_PLACE}, {1.1e-11, 2, 12},
                 {1.1e-12, 2, NR_NO_PLACE}, {1.1e18, 1, -18},          {1.1e19, 1, NR_NO_PLACE},
                 {1.1e19, 2, -18},          {0, 2, NR_NO_PLACE},       {-1, 2, NR_NO_PLACE},
                 {NAN, 2, NR_NO_PLACE},     {INFINITY, 2, NR_NO_PLACE}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        ck_assert_msg(nr_round_place(cases[i].u, cases[i].digits) == cases[i].place, "%g, %d: %d",
                      cases[i].u, cases[i].digits, nr_round_place(cases[i].u, cases[i].digits));
}
END_TEST

/* Without a place four figures; a chosen number up to so many, no zeros at its end. */
START_TEST(plain)
{
    for (int i = 0; i < DRAWS; i++) {
        decimal d = draw(7, 6);
        char want[60], got[NR_ROUNDED];
        int place = place_of(&d, 4), digits = 1 + (int)drawn(5);
        bool minus = i % 3 == 0;
        double value = minus ? -d.value : d.value;
        written(rounded(&d, place), place, minus, want, sizeof want);
        ck_assert_str_eq(nr_round_text(value, NR_NO_PLACE, got), want);
        place = place_of(&d, digits);
        long long units = rounded(&d, place);
        for (; place > 0 && units % 10 == 0; place--)
            units /= 10;
        written(units, place, minus, want, sizeof want);
        ck_assert_ptr_eq(nr_plain_text(value, digits, got), got);
        ck_assert_msg(strcmp(got, want) == 0, "%.12g, %d: %s, not %s", value, digits, got, want);
    }
}
END_TEST

START_TEST(odd_ones)
{
    static const struct {
        double value;
        int place;
        const char *text, *plain;
    } cases[] = {{0, NR_NO_PLACE, "0", "0"},
                 {-0.0, NR_NO_PLACE, "0", "0"},
                 {0, 2, "0.00", "0"},
                 {-0.004, 2, "0.00", "-0.004"},
                 {INFINITY, NR_NO_PLACE, "inf", "inf"},
                 {-INFINITY, NR_NO_PLACE, "-inf", "-inf"},
                 {NAN, 3, "?", "?"},
                 {9e17, 0, "900000000000000000", "900000000000000000"},
                 {-2e18, 0, "-2.000e+18", "-2.000e+18"},
                 {3e21, 0, "3.000e+21", "3.000e+21"},
                 {3.21e-20, NR_NO_PLACE, "3.210e-20", "3.210e-20"},
                 {100, 0, "100", "100"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char got[NR_ROUNDED];
        ck_assert_str_eq(nr_round_text(cases[i].value, cases[i].place, got), cases[i].text);
        ck_assert_str_eq(nr_plain_text(cases[i].value, 3, got), cases[i].plain);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {texts, places, ends_of_places, plain, odd_ones, NULL};
    return run_tests("round-drawn", tests);
}
