/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings as text and back: decimals of each dimension, rows written a second time with the C
 * library, and the number that a file keeps of a reading (as_written) on drawn readings and on the
 * middle between two decimals. */
#include "logger/run/readings.h"
#include "tests/unit/chance.h"
#include "tests/unit/run/rig_fixture.h"

/* A unit's decimals are enough for any sensor of its kind; -1: ten significant digits. */
static const struct {
    const char *unit;
    int decimals;
} units[] = {{"degC", 4}, {"L_min", 4}, {"V", 4}, {"A", 5},   {"W_m2", 2}, {"percent", 2},
             {"m_s", 3},  {"W", 3},     {"L", 3}, {"m2", -1}, {"kg", -1},  {"m", -1}};
#define UNITS (sizeof units / sizeof *units)

static uint64_t state;

static double draw(void) /* 0 to 1 */
{
    return chance_share(&state);
}

static void as_text(char *out, size_t size, double value, int decimals)
{
    if (decimals >= 0)
        snprintf(out, size, "%.*f", decimals, value);
    else
        snprintf(out, size, "%.10g", value);
    if (strtod(out, NULL) == 0 && out[0] == '-')
        memmove(out, out + 1, strlen(out));
}

static void check(size_t i, double value)
{
    char text[400];
    double is = nr_readings_as_written(nr_unit_find(units[i].unit), value);
    as_text(text, sizeof text, value, units[i].decimals);
    double wanted = strtod(text, NULL);
    ck_assert_msg(memcmp(&is, &wanted, sizeof is) == 0, "%s %.17g: %.17g, not %.17g", units[i].unit,
                  value, is, wanted);
}

/* Plain ones, some between two decimals to the last bit, and some where whole numbers end. */
START_TEST(as_a_file_keeps_it)
{
    state = 17;
    for (size_t i = 0; i < UNITS; i++) {
        double scale = pow(10, units[i].decimals < 0 ? 4 : units[i].decimals);
        for (int k = 0; k < 150; k++) {
            double size = pow(10, floor(14 * draw()) - 4), value = (draw() - 0.5) * size;
            double middle = (floor(1e5 * (draw() - 0.5)) + 0.5) / scale;
            check(i, value);
            check(i, round(value * scale) / scale);
            check(i, middle);
            check(i, nextafter(middle, 1e9));
            check(i, nextafter(middle, -1e9));
            check(i, middle + 1e-6 / scale * (draw() - 0.5) * 4);
            check(i, (round(1024 * (draw() - 0.5)) + 0.5) / 8); /* exactly in the middle */
        }
        check(i, 0.0);
        check(i, -0.0);
        check(i, -0.1 / scale);
        check(i, 1e9 / scale);
        check(i, (1e9 + 0.4) / scale);
        ck_assert(isnan(nr_readings_as_written(nr_unit_find(units[i].unit), NAN)));
    }
}
END_TEST

/* A rig with a channel of each dimension: its header and its rows. */
START_TEST(rows_and_header)
{
    static nr_rig rig;
    char text[1500] = "", header[600] = "time_utc,elapsed_s", out[1000];
    for (size_t i = 0; i < UNITS; i++) {
        size_t used = strlen(text), more = strlen(header);
        snprintf(text + used, sizeof text - used, "[channel c%zu]\nunit = %s\n", i, units[i].unit);
        snprintf(header + more, sizeof header - more, ",c%zu_%s", i, units[i].unit);
    }
    strcat(header, "\n");
    accept(&rig, text, NR_RIG_FOR_READINGS);
    ck_assert_uint_eq(nr_readings_header(&rig, out, sizeof out), strlen(header));
    ck_assert_str_eq(out, header);
    state = 4;
    for (int row = 0; row < 60; row++) {
        double value[UNITS], elapsed_s = row + floor(1000 * draw()) / 1000;
        char wanted[1000];
        /* 2026-05-04T11:22:33Z is 1777893753 (date -u +%s) */
        size_t used = (size_t)snprintf(wanted, sizeof wanted, "2026-05-04T11:%d:%02d.250Z,%.3f",
                                       22 + (33 + row) / 60, (33 + row) % 60, elapsed_s);
        for (size_t i = 0; i < UNITS; i++) {
            char cell[100] = "";
            value[i] = draw() < 0.2 ? NAN : (draw() - 0.5) * pow(10, floor(7 * draw()));
            if (!isnan(value[i]))
                as_text(cell, sizeof cell, value[i], units[i].decimals);
            used += (size_t)snprintf(wanted + used, sizeof wanted - used, ",%s", cell);
        }
        strcat(wanted, "\n");
        ck_assert_uint_eq(
            nr_readings_row(&rig, 1777893753.25 + row, elapsed_s, value, out, sizeof out),
            strlen(wanted));
        ck_assert_str_eq(out, wanted);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {as_a_file_keeps_it, rows_and_header, NULL};
    return run_tests("written_drawn", tests);
}
