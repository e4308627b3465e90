/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every number that a rig file may hold: from where to where it is believed, tried on both sides of
 * both ends, in what unit it is kept, and every word of a choice. The ranges are decisions of the
 * project, said here once more; units are those of NIST SP 811, appendix B. */
#include "logger/run/rig_parse.h"
#include "tests/unit/near.h"

#define FT 0.3048
#define LB 0.45359237
#define GAL_L 3.785411784
#define BTU_F (1055.05585262 * 1.8) /* Btu/degF in J/K */
#define WATER 0.9982                /* kg/L at 20 degC */
#define ABOVE true
#define FROM false

typedef struct number_row {
    nr_rig_section_kind section;
    const char *key;
    bool above; /* low itself is none */
    double low, high;
    double factor; /* what is kept of 1 */
    bool whole;
} number_row;

static const number_row numbers[] = {
    {NR_SECTION_SITE, "latitude_deg", FROM, -90, 90, 1, false},
    {NR_SECTION_SITE, "longitude_deg", FROM, -180, 180, 1, false},
    {NR_SECTION_SITE, "elevation_m", FROM, -450, 6000, 1, false},
    {NR_SECTION_SITE, "elevation_ft", FROM, -450, 6000, FT, false},
    {NR_SECTION_COLLECTOR, "gross_area_m2", ABOVE, 0, 100, 1, false},
    {NR_SECTION_COLLECTOR, "gross_area_ft2", ABOVE, 0, 100, FT *FT, false},
    {NR_SECTION_COLLECTOR, "tilt_deg", FROM, 0, 90, 1, false},
    {NR_SECTION_COLLECTOR, "azimuth_deg", FROM, 0, 360, 1, false},
    {NR_SECTION_COLLECTOR, "fluid_kg", ABOVE, 0, 500, 1, false},
    {NR_SECTION_COLLECTOR, "fluid_lb", ABOVE, 0, 500, LB, false},
    {NR_SECTION_COLLECTOR, "fluid_L", ABOVE, 0, 500, WATER, false},
    {NR_SECTION_COLLECTOR, "fluid_gal", ABOVE, 0, 500, GAL_L *WATER, false},
    {NR_SECTION_COLLECTOR, "heat_capacity_J_K", ABOVE, 0, 1e7, 1, false},
    {NR_SECTION_COLLECTOR, "heat_capacity_Btu_degF", ABOVE, 0, 1e7, BTU_F, false},
    {NR_SECTION_COLLECTOR, "tube_length_m", ABOVE, 0, 1000, 1, false},
    {NR_SECTION_COLLECTOR, "tube_length_ft", ABOVE, 0, 1000, FT, false},
    {NR_SECTION_COLLECTOR, "tube_bore_mm", ABOVE, 0, 200, 1, false},
    {NR_SECTION_COLLECTOR, "tube_bore_in", ABOVE, 0, 200, 25.4, false},
    {NR_SECTION_COLLECTOR, "iam_b0", FROM, 0, 1, 1, false},
    {NR_SECTION_COLLECTOR, "back_heat_capacity_J_K", FROM, 0, 1e7, 1, false},
    {NR_SECTION_COLLECTOR, "back_heat_capacity_Btu_degF", FROM, 0, 1e7, BTU_F, false},
    {NR_SECTION_STORE, "water_kg", ABOVE, 0, 20000, 1, false},
    {NR_SECTION_STORE, "water_lb", ABOVE, 0, 20000, LB, false},
    {NR_SECTION_STORE, "water_L", ABOVE, 0, 20000, WATER, false},
    {NR_SECTION_STORE, "water_gal", ABOVE, 0, 20000, GAL_L *WATER, false},
    {NR_SECTION_STORE, "water_end_kg", ABOVE, 0, 20000, 1, false},
    {NR_SECTION_STORE, "water_end_lb", ABOVE, 0, 20000, LB, false},
    {NR_SECTION_STORE, "water_end_L", ABOVE, 0, 20000, WATER, false},
    {NR_SECTION_STORE, "water_end_gal", ABOVE, 0, 20000, GAL_L *WATER, false},
    {NR_SECTION_STORE, "dry_heat_capacity_J_K", FROM, 0, 1e8, 1, false},
    {NR_SECTION_STORE, "dry_heat_capacity_Btu_degF", FROM, 0, 1e8, BTU_F, false},
    {NR_SECTION_STORE, "loss_W_K", FROM, 0, 1000, 1, false},
    {NR_SECTION_STORE, "loss_Btu_h_degF", FROM, 0, 1000, BTU_F / 3600, false},
    {NR_SECTION_STORE, "opening_m2", FROM, 0, 100, 1, false},
    {NR_SECTION_STORE, "opening_ft2", FROM, 0, 100, FT *FT, false},
    {NR_SECTION_STORE, "pump_W", FROM, 0, 1000, 1, false},
    {NR_SECTION_ADAPTER, "interval_s", ABOVE, 0, 3600, 1, false},
    {NR_SECTION_CHANNEL, "offset", FROM, -1e9, 1e9, 1, false},
    {NR_SECTION_CHANNEL, "u_offset", FROM, 0, 1e9, 1, false},
    {NR_SECTION_CHANNEL, "u_gain", FROM, 0, 1, 1, false},
    {NR_SECTION_CHANNEL, "u_drift", FROM, 0, 1e9, 1, false},
    {NR_SECTION_CHANNEL, "lag_s", FROM, 0, 3600, 1, false},
    {NR_SECTION_CHANNEL, "low", FROM, -1e12, 1e12, 1, false},
    {NR_SECTION_CHANNEL, "high", FROM, -1e12, 1e12, 1, false},
    {NR_SECTION_CHANNEL, "resolution", ABOVE, 0, 1e9, 1, false},
    {NR_SECTION_CHANNEL, "emissivity", FROM, 0.1, 1, 1, false},
    {NR_SECTION_CHANNEL, "emissivity_set", FROM, 0.1, 1, 1, false},
    {NR_SECTION_CHANNEL, "surroundings", FROM, -150, 300, 1, false},
    {NR_SECTION_CHANNEL, "instrument", FROM, -150, 300, 1, false},
    {NR_SECTION_CHANNEL, "modbus_unit", FROM, 1, 247, 1, true},
    {NR_SECTION_CHANNEL, "modbus_register", FROM, 0, 65535, 1, true},
    {NR_SECTION_CHANNEL, "modbus_scale", FROM, 1, 1000000, 1, true},
};
#define NUMBERS (sizeof numbers / sizeof *numbers)

static nr_rig rig;
static char problem[NR_ERR_TEXT]; /* with the key's value, or "" */

static const char *heading(nr_rig_section_kind section)
{
    static const char *const of[] = {"test", "site", "collector", "store", "adapter", "channel x"};
    return of[section];
}

/* The member that the key fills, of a rig that holds nothing else. True: no word against it. */
static bool filled(nr_rig_section_kind section, const char *lines, const char *key)
{
    char text[1500], told[100];
    nr_rig_problems problems = {0};
    nr_rig_lines read;
    snprintf(text, sizeof text, "[%s]\n%s%s", heading(section),
             section == NR_SECTION_CHANNEL ? "unit = V\n" : "", lines);
    snprintf(told, sizeof told, "[%s] %s", heading(section), key);
    memset(&rig, 0, sizeof rig);
    ck_assert(nr_rig_lines_read(text, strlen(text), &read, &problems));
    nr_rig_fill(&rig, &read, &problems);
    problem[0] = '\0';
    for (size_t i = 0; i < problems.kept; i++)
        if (strncmp(problems.found[i].text, told, strlen(told)) == 0 &&
            (strncmp(problems.found[i].text + strlen(told), " = ", 3) == 0 ||
             problems.found[i].text[strlen(told)] == ':'))
            snprintf(problem, sizeof problem, "%s", problems.found[i].text);
    nr_rig_lines_free(&read);
    (void)nr_rig_problems_tell(&problems, "rig.ini", NULL, NULL);
    return problem[0] == '\0';
}

static const void *member(nr_rig_section_kind section, const nr_rig_key *key)
{
    const char *base = section == NR_SECTION_COLLECTOR ? (const char *)&rig.collector
                       : section == NR_SECTION_STORE   ? (const char *)&rig.store
                       : section == NR_SECTION_ADAPTER ? (const char *)&rig.adapter[0]
                       : section == NR_SECTION_CHANNEL ? (const char *)&rig.channel[0]
                                                       : (const char *)&rig;
    return base + key->offset;
}

static const nr_rig_key *key_of(nr_rig_section_kind section, const char *name)
{
    bool uncertainty;
    const nr_rig_key *key = nr_rig_key_find(section, name, &uncertainty);
    ck_assert_msg(key && !uncertainty, "there is no %s", name);
    return key;
}

/* The number that was kept. */
static double kept(const number_row *row, const nr_rig_key *key)
{
    const void *at = member(row->section, key);
    nr_value value;
    double number;
    int whole;
    if (key->kind == NR_KEY_QUANTITY) {
        memcpy(&value, at, sizeof value);
        ck_assert(value.given && value.line > 0);
        return value.value;
    }
    memcpy(&number, at, sizeof number * !row->whole);
    memcpy(&whole, at, sizeof whole);
    return row->whole ? whole : number;
}

static void try(const number_row *row, double value, bool believed)
{
    char line[120];
    const nr_rig_key *key = key_of(row->section, row->key);
    double written = value / row->factor;
    if (row->whole)
        snprintf(line, sizeof line, "%s = %.0f\n", row->key, written);
    else
        snprintf(line, sizeof line, "%s = %.17g\n", row->key, written);
    ck_assert_msg(filled(row->section, line, row->key) == believed, "%s %s: %s", line,
                  believed ? "is refused" : "is taken", problem);
    if (believed)
        NEAR_AT(row->key, kept(row, key), value, 1e-12 * fabs(value));
}

/* "at least 0 and at most 90 deg": in the unit that it is written in. */
static void check_words(const number_row *row)
{
    char low[40], high[40];
    double from = row->low / row->factor, to = row->high / row->factor;
    if (row->whole) {
        snprintf(low, sizeof low, "from %.0f ", from);
        snprintf(high, sizeof high, "to %.0f", to);
    } else if (row->high >= 1e9) {
        snprintf(low, sizeof low, "it must be %g or more", from);
        high[0] = '\0';
    } else {
        snprintf(low, sizeof low, "it must be %s %.6g and ", row->above ? "above" : "at least",
                 from);
        snprintf(high, sizeof high, "at most %.6g", to);
    }
    ck_assert_msg(strstr(problem, low), "no \"%s\" in: %s", low, problem);
    ck_assert_msg(strstr(problem, high), "no \"%s\" in: %s", high, problem);
}

START_TEST(both_sides_of_both_ends)
{
    for (size_t i = 0; i < NUMBERS; i++) {
        const number_row *row = &numbers[i];
        double step = row->whole ? 1 : 1e-9, span = row->high - row->low;
        double below = row->whole ? 1 : row->low == 0 ? 1e-9 : step * fabs(row->low);
        double over = row->whole ? 1 : step * row->high;
        if (row->factor == 1) {
            try(row, row->low, !row->above);
            try(row, row->high, true);
        }
        try(row, row->low + below, true);
        try(row, row->low + (row->whole ? floor(span / 3) : span / 3), true);
        try(row, row->high - over, true);
        try(row, row->low - below, false);
        check_words(row);
        try(row, row->high + over, false);
        check_words(row);
    }
}
END_TEST

/* Standard uncertainties in the unit of their key: none is negative, and none of what has to be
 * above nothing is larger than its value. */
START_TEST(uncertainties)
{
    for (size_t i = 0; i < NUMBERS; i++) {
        const number_row *row = &numbers[i];
        const nr_rig_key *key = key_of(row->section, row->key);
        nr_value value;
        char u[60], line[200];
        if (key->kind != NR_KEY_QUANTITY)
            continue;
        snprintf(u, sizeof u, "u_%s", row->key);
        double middle = (row->low + 0.25 * (row->high - row->low)) / row->factor;
        static const double share[] = {0, 0.5, 1, 1.000001};
        for (size_t k = 0; k < 4; k++) {
            snprintf(line, sizeof line, "%s = %.17g\n%s = %.17g\n", row->key, middle, u,
                     share[k] * fabs(middle));
            ck_assert_msg(filled(row->section, line, u) == (k < 3 || !row->above), "%s", line);
            memcpy(&value, member(row->section, key), sizeof value);
            ck_assert(value.u_given);
            NEAR_AT(u, value.u, share[k] * fabs(middle) * row->factor,
                    1e-12 * fabs(middle) * row->factor);
        }
        snprintf(line, sizeof line, "%s = %.17g\n%s = -1e-9\n", row->key, middle, u);
        ck_assert_msg(!filled(row->section, line, u), "%s", line);
        snprintf(line, sizeof line, "%s = 1\n", u);
        ck_assert_msg(!filled(row->section, line, u), "%s", line);
    }
}
END_TEST

/* A key that is a number and not in the table above is one that nobody looks at. */
START_TEST(no_number_is_left_out)
{
    size_t count, found = 0;
    for (int section = 0; section < NR_SECTION_KINDS; section++) {
        const nr_rig_key *key = nr_rig_keys((nr_rig_section_kind)section, &count);
        for (size_t i = 0; i < count; i++)
            found += key[i].kind == NR_KEY_QUANTITY || key[i].kind == NR_KEY_NUMBER ||
                     key[i].kind == NR_KEY_INTEGER;
    }
    ck_assert_uint_eq(found, NUMBERS);
}
END_TEST

typedef struct word_row {
    nr_rig_section_kind section;
    const char *key, *word;
    int value;
} word_row;

static const word_row words[] = {
    {NR_SECTION_TEST, "rows", "instant", NR_ROWS_INSTANT},
    {NR_SECTION_TEST, "rows", "mean", NR_ROWS_MEAN},
    {NR_SECTION_COLLECTOR, "glazing", "none", NR_GLAZING_NONE},
    {NR_SECTION_COLLECTOR, "glazing", "single", NR_GLAZING_SINGLE},
    {NR_SECTION_COLLECTOR, "glazing", "double", NR_GLAZING_DOUBLE},
    {NR_SECTION_COLLECTOR, "aim", "fixed", NR_AIM_FIXED},
    {NR_SECTION_COLLECTOR, "aim", "followed", NR_AIM_FOLLOWED},
    {NR_SECTION_COLLECTOR, "dew", "yes", NR_DEW_YES},
    {NR_SECTION_COLLECTOR, "dew", "no", NR_DEW_NO},
    {NR_SECTION_STORE, "lid", "yes", NR_LID_YES},
    {NR_SECTION_STORE, "lid", "no", NR_LID_NO},
    {NR_SECTION_STORE, "lid", "true", NR_LID_YES},
    {NR_SECTION_STORE, "lid", "false", NR_LID_NO},
    {NR_SECTION_STORE, "lid", "on", NR_LID_YES},
    {NR_SECTION_STORE, "lid", "off", NR_LID_NO},
    {NR_SECTION_STORE, "lid", "1", NR_LID_YES},
    {NR_SECTION_STORE, "lid", "0", NR_LID_NO},
    {NR_SECTION_ADAPTER, "kind", "lines", NR_ADAPTER_LINES},
    {NR_SECTION_ADAPTER, "kind", "modbus", NR_ADAPTER_MODBUS},
    {NR_SECTION_ADAPTER, "line", "values", NR_LINE_VALUES},
    {NR_SECTION_ADAPTER, "line", "pairs", NR_LINE_PAIRS},
    {NR_SECTION_ADAPTER, "separator", "comma", ','},
    {NR_SECTION_ADAPTER, "separator", "semicolon", ';'},
    {NR_SECTION_ADAPTER, "separator", "tab", '\t'},
    {NR_SECTION_ADAPTER, "separator", "space", ' '},
    {NR_SECTION_ADAPTER, "separator", ",", ','},
    {NR_SECTION_ADAPTER, "checksum", "none", NR_CHECKSUM_NONE},
    {NR_SECTION_ADAPTER, "checksum", "xor8", NR_CHECKSUM_XOR8},
    {NR_SECTION_ADAPTER, "clock", "host", NR_CLOCK_HOST},
    {NR_SECTION_ADAPTER, "clock", "adapter", NR_CLOCK_ADAPTER},
    {NR_SECTION_ADAPTER, "parity", "none", 'N'},
    {NR_SECTION_ADAPTER, "parity", "even", 'E'},
    {NR_SECTION_ADAPTER, "parity", "odd", 'O'},
    {NR_SECTION_ADAPTER, "parity", "N", 'N'},
    {NR_SECTION_ADAPTER, "parity", "E", 'E'},
    {NR_SECTION_ADAPTER, "parity", "O", 'O'},
    {NR_SECTION_CHANNEL, "plane", "collector", NR_PLANE_COLLECTOR},
    {NR_SECTION_CHANNEL, "plane", "horizontal", NR_PLANE_HORIZONTAL},
    {NR_SECTION_CHANNEL, "shaded", "yes", NR_SHADED_YES},
    {NR_SECTION_CHANNEL, "shaded", "no", NR_SHADED_NO},
};
#define WORDS (sizeof words / sizeof *words)

static int word_kept(nr_rig_section_kind section, const nr_rig_key *key)
{
    int value = 0;
    if (key->size == 1)
        return *(const char *)member(section, key);
    ck_assert_uint_eq(key->size, sizeof value);
    memcpy(&value, member(section, key), sizeof value);
    return value;
}

START_TEST(every_word_of_a_choice)
{
    char line[100];
    for (size_t i = 0; i < WORDS; i++) {
        snprintf(line, sizeof line, "%s = %s\n", words[i].key, words[i].word);
        ck_assert_msg(filled(words[i].section, line, words[i].key), "%s", problem);
        ck_assert_msg(word_kept(words[i].section, key_of(words[i].section, words[i].key)) ==
                          words[i].value,
                      "%s", line);
        snprintf(line, sizeof line, "%s = %sx\n", words[i].key, words[i].word);
        ck_assert_msg(!filled(words[i].section, line, words[i].key), "%s", line);
        ck_assert_msg(strstr(problem, words[i].word), "%s", problem);
    }
}
END_TEST

/* Speeds are their own numbers: all of the usual ones, and no others. */
START_TEST(speeds)
{
    static const long usual[] = {300,    600,    1200,   2400,   4800,   9600,   14400,
                                 19200,  28800,  38400,  57600,  76800,  115200, 230400,
                                 250000, 460800, 500000, 921600, 1000000};
    const nr_rig_key *key = key_of(NR_SECTION_ADAPTER, "baud");
    size_t count = 0;
    for (const nr_rig_choice *c = key->choice; c->word; c++, count++) {
        ck_assert_uint_lt(count, sizeof usual / sizeof *usual);
        char line[60];
        snprintf(line, sizeof line, "baud = %ld\n", usual[count]);
        ck_assert_msg(filled(NR_SECTION_ADAPTER, line, "baud"), "%s", problem);
        ck_assert_int_eq(rig.adapter[0].baud, usual[count]);
        snprintf(line, sizeof line, "baud = %ld0\n", usual[count]);
        ck_assert(!filled(NR_SECTION_ADAPTER, line, "baud"));
    }
    ck_assert_uint_eq(count, sizeof usual / sizeof *usual);
}
END_TEST

/* Texts are kept whole up to the room that there is for them. */
START_TEST(long_texts)
{
    size_t count;
    for (int kind = 0; kind < NR_SECTION_KINDS; kind++) {
        nr_rig_section_kind section = (nr_rig_section_kind)kind;
        const nr_rig_key *key = nr_rig_keys(section, &count);
        for (size_t i = 0; i < count; i++) {
            static char line[1300], letters[1100];
            if (key[i].kind != NR_KEY_TEXT)
                continue;
            memset(letters, 'x', sizeof letters);
            letters[key[i].size] = '\0';
            snprintf(line, sizeof line, "%s = %s\n", key[i].name, letters);
            ck_assert_msg(!filled(section, line, key[i].name), "%s is taken", line);
            letters[key[i].size - 1] = '\0';
            snprintf(line, sizeof line, "%s = %s\n", key[i].name, letters);
            ck_assert_msg(filled(section, line, key[i].name), "%s", problem);
            ck_assert_str_eq(member(section, &key[i]), letters);
        }
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {both_sides_of_both_ends,
                                  uncertainties,
                                  no_number_is_left_out,
                                  every_word_of_a_choice,
                                  speeds,
                                  long_texts,
                                  NULL};
    return run_tests("key_limits", tests);
}
