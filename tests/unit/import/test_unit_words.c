/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Units as people write them: each in drawn spellings; at each place of a head, beside words that
 * speak for it and words that do not; what is left of the head as the column's name. */
#include "logger/import/fold.h"
#include "logger/import/unit_words.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <ctype.h>
#include <stdint.h>

static uint64_t state = 8306;

static unsigned drawn(unsigned below)
{
    return chance_below(&state, below);
}

/* Each unit of a column by some of its spellings; "raw", "time", "clock", "other": no unit of a
 * channel. Factors: the second is the SI's unit, and the others as ISO 8000-1 and the SI brochure
 * (table 8) have them. */
static const struct {
    const char *word, *unit;
    double time_s;
} spelled[] = {
    {"degC", "degC", 0},
    {"Celsius", "degC", 0},
    {"degF", "degF", 0},
    {"fahrenheit", "degF", 0},
    {"K", "K", 0},
    {"kelvin", "K", 0},
    {"W/m2", "W_m2", 0},
    {"W/m^2", "W_m2", 0},
    {"watts/m2", "W_m2", 0},
    {"kW/m2", "kW_m2", 0},
    {"Btu/h/ft2", "Btu_h_ft2", 0},
    {"L/min", "L_min", 0},
    {"lpm", "L_min", 0},
    {"L/h", "L_h", 0},
    {"L/s", "L_s", 0},
    {"mL/min", "mL_min", 0},
    {"m3/h", "m3_h", 0},
    {"gpm", "gal_min", 0},
    {"gph", "gal_h", 0},
    {"m/s", "m_s", 0},
    {"km/h", "km_h", 0},
    {"mph", "mph", 0},
    {"ft/s", "ft_s", 0},
    {"knots", "kn", 0},
    {"V", "V", 0},
    {"mV", "mV", 0},
    {"A", "A", 0},
    {"mA", "mA", 0},
    {"W", "W", 0},
    {"mW", "mW", 0},
    {"kW", "kW", 0},
    {"Btu/h", "Btu_h", 0},
    {"%", "percent", 0},
    {"ohm", "raw", 0},
    {"counts", "raw", 0},
    {"s", "time", 1},
    {"seconds", "time", 1},
    {"min", "time", 60},
    {"minutes", "time", 60},
    {"h", "time", 3600},
    {"hours", "time", 3600},
    {"ms", "time", 0.001},
    {"days", "time", 86400},
    {"hh:mm:ss", "clock", 0},
    {"hh:mm", "clock", 0},
    {"mm:ss", "clock", 60},
    {"hPa", "other", 0},
    {"lux", "other", 0},
    {"kWh", "other", 0},
    {"inHg", "other", 0},
};
#define SPELLED (sizeof spelled / sizeof *spelled)

static void check(const char *text, const nr_stated_unit *u, const char *unit, double time_s)
{
    nr_measure want = strcmp(unit, "raw") == 0     ? NR_MEASURE_RAW
                      : strcmp(unit, "time") == 0  ? NR_MEASURE_TIME
                      : strcmp(unit, "clock") == 0 ? NR_MEASURE_CLOCK
                      : strcmp(unit, "other") == 0 ? NR_MEASURE_OTHER
                      : unit[0]                    ? NR_MEASURE_UNIT
                                                   : NR_MEASURE_NONE;
    ck_assert_msg(u->measure == want, "\"%s\": measure %d, not %d", text, u->measure, want);
    if (want == NR_MEASURE_UNIT) {
        ck_assert_msg(u->unit && strcmp(u->unit->name, unit) == 0, "\"%s\": %s", text, u->word);
        ck_assert_str_eq(u->word, unit);
    }
    ck_assert_msg(fabs(u->time_s - time_s) <= 1e-12, "\"%s\": %g s", text, u->time_s);
    if (want == NR_MEASURE_CLOCK)
        ck_assert_msg(u->minutes_first == (time_s > 0), "\"%s\"", text);
}

/* The same word with other letters large, blanks, "_" or "per" for "/", a full stop behind. */
static void respell(const char *word, char out[NR_FOLDED])
{
    size_t n = 0;
    bool stop = drawn(4) == 0 && word[1];
    for (const char *p = word; *p; p++) {
        if (drawn(5) == 0)
            out[n++] = ' ';
        unsigned as = *p == '/' && p > word ? drawn(4) : 0;
        const char *instead[] = {"", "_", " per ", " per_"};
        if (as > 0) {
            strcpy(out + n, instead[as]);
            n += strlen(instead[as]);
        } else {
            out[n++] = (char)(drawn(2) ? toupper((unsigned char)*p) : tolower((unsigned char)*p));
        }
    }
    if (stop)
        out[n++] = '.';
    out[n] = '\0';
}

START_TEST(spellings)
{
    for (size_t i = 0; i < SPELLED; i++) {
        char text[NR_FOLDED] = "", longer[2 * NR_FOLDED];
        for (int pass = 0; pass < 12; pass++) {
            respell(spelled[i].word, text);
            nr_stated_unit u = nr_unit_of_words(text);
            check(text, &u, spelled[i].unit, spelled[i].time_s);
        }
        snprintf(longer, sizeof longer, "%sq", spelled[i].word); /* a letter more is another */
        nr_stated_unit u = nr_unit_of_words(longer);
        check(longer, &u, "", 0);
    }
    static const char *const none[] = {"", " ", ".", "per ", "per C", "x", "W m2 K", "c c"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        nr_stated_unit u = nr_unit_of_words(none[i]);
        check(none[i], &u, "", 0);
    }
}
END_TEST

/* The name without doubled blanks. */
static void plain_name(char *name)
{
    char *to = name;
    for (const char *p = name; *p; p++)
        if (*p != ' ' || (to > name && to[-1] != ' '))
            *to++ = *p;
    while (to > name && to[-1] == ' ')
        to--;
    *to = '\0';
}

static void check_head(const char *head, const char *unit, double time_s, const char *left)
{
    char name[NR_FOLDED];
    nr_stated_unit u = nr_unit_of_head(head, name, sizeof name);
    check(head, &u, unit, time_s);
    plain_name(name);
    ck_assert_msg(strcmp(name, left) == 0, "\"%s\": \"%s\" is left, not \"%s\"", head, name, left);
}

/* In brackets of each kind, before and behind the name and within it. */
START_TEST(in_brackets)
{
    static const char *const form[][2] = {{"Mug (%s)", "Mug"},         {"Mug [%s]", "Mug"},
                                          {"Mug {%s}", "Mug"},         {"(%s) Mug", "Mug"},
                                          {"Mug [%s] top", "Mug top"}, {"Mug(%s)", "Mug"},
                                          {"Mug (x) [%s]", "Mug (x)"}, {"Mug (%s) (x)", "Mug (x)"}};
    for (size_t i = 0; i < SPELLED; i++)
        for (size_t k = 0; k < sizeof form / sizeof *form; k++) {
            char head[100];
            size_t cut = strcspn(form[k][0], "%");
            snprintf(head, sizeof head, "%.*s%s%s", (int)cut, form[k][0], spelled[i].word,
                     form[k][0] + cut + 2);
            check_head(head, spelled[i].unit, spelled[i].time_s, form[k][1]);
        }
}
END_TEST

/* A letter alone behind a word: 'y' it is the unit, 'n' it is not, for ' ' and for '_' between. */
START_TEST(letters_alone)
{
    static const char *const before[] = {"Tank",    "Probe", "Channel", "Battery", "Voltage",
                                         "Current", "Pump",  "Power",   "Elapsed", "Duration"};
    static const struct {
        char letter;
        const char *unit;
        double time_s;
        const char *blank, *glued; /* [before] */
    } of[] = {
        {'C', "degC", 0, "ynnyyyyyyy", "yyyyyyyyyy"},
        {'F', "degF", 0, "ynnyyyyyyy", "yyyyyyyyyy"},
        {'V', "V", 0, "nnnyynynnn", "nnnyynynnn"},
        {'A', "A", 0, "nnnnnyynnn", "nnnnnyynnn"},
        {'W', "W", 0, "nnnnnnyynn", "nnnnnnyynn"},
        {'s', "time", 1, "nnnnnnnnyy", "nnnnnnnnyy"},
        {'h', "time", 3600, "nnnnnnnnyy", "nnnnnnnnyy"},
        {'d', "time", 86400, "nnnnnnnnyy", "nnnnnnnnyy"},
        {'%', "percent", 0, "yyyyyyyyyy", "yyyyyyyyyy"},
        {'K', "K", 0, "nnnnnnnnnn", "nnnnnnnnnn"},
        {'g', "other", 0, "nnnnnnnnnn", "nnnnnnnnnn"},
        {'l', "other", 0, "nnnnnnnnnn", "nnnnnnnnnn"},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (size_t k = 0; k < 10; k++)
            for (int glued = 0; glued < 2; glued++) {
                char head[60];
                bool is = (glued ? of[i].glued : of[i].blank)[k] == 'y';
                snprintf(head, sizeof head, "%s%c%c", before[k], glued ? '_' : ' ', of[i].letter);
                check_head(head, is ? of[i].unit : "", is ? of[i].time_s : 0,
                           is ? before[k] : head);
            }
}
END_TEST

/* Words that are more often something else at the end of a head, and those that are not. */
START_TEST(words_at_the_end)
{
    static const char *const rarely[] = {"in",   "index", "grad",    "deg",    "second",  "minute",
                                         "hour", "day",   "minutes", "hours",  "seconds", "days",
                                         "bar",  "raw",   "count",   "digits", "watt"};
    for (size_t i = 0; i < sizeof rarely / sizeof *rarely; i++) {
        char head[60];
        snprintf(head, sizeof head, "Mug %s", rarely[i]);
        check_head(head, "", 0, head);
    }
    static const struct {
        const char *head, *unit, *left;
        double time_s;
    } of[] = {
        {"Mug degC", "degC", "Mug", 0},
        {"Mug/degC", "degC", "Mug", 0},
        {"Mug, degC", "degC", "Mug", 0},
        {"Mug.degC", "degC", "Mug", 0},
        {"Mug:degC", "degC", "Mug", 0},
        {"Mug-degC", "degC", "Mug", 0},
        {"Mug mph", "mph", "Mug", 0},
        {"Mug lux", "other", "Mug", 0},
        {"Time min", "time", "Time", 60},
        {"Zeit std", "time", "Zeit", 3600},
        {"Elapsed hr", "time", "Elapsed", 3600},
        {"Temp min", "", "Temp min", 0},
        {"Temp std", "", "Temp std", 0},
        {"Temp hr", "", "Temp hr", 0},
        {"Wind ms", "m_s", "Wind", 0},
        {"vent_ms", "m_s", "vent", 0},
        {"Gap ms", "time", "Gap", 0.001},
        {"Air temp in C", "degC", "Air temp", 0},
        {"Mug in degF", "degF", "Mug", 0},
        {"Collector in C", "degC", "Collector in", 0},
        {"Hose in degC", "degC", "Hose in", 0},
        {"Sun in W/m2", "W_m2", "Sun", 0},
        {"degC mug", "degC", "mug", 0},
        {"my degF mug", "degF", "my mug", 0},
        {"degC2 mug", "", "degC2 mug", 0},
        {"waterC", "degC", "water", 0},
        {"mugF", "degF", "mug", 0},
        {"mugV", "", "mugV", 0},
        {"aC", "", "aC", 0},
        {"abC", "degC", "ab", 0},
        {"MUGC", "", "MUGC", 0},
        {"degC", "degC", "", 0},
        {"min", "time", "", 60},
        {"In", "", "In", 0},
        {"mm", "", "mm", 0},
        {"Mug", "", "Mug", 0},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        check_head(of[i].head, of[i].unit, of[i].time_s, of[i].left);
}
END_TEST

/* Parts below a stroke, and degrees with figures before or behind, are units nobody knows here;
 * figures that only number something are none. */
START_TEST(unknown_units)
{
    static const char *const below[] = {"m2", "cm2", "ft2", "m^2", "sqm", "qm", "m", "h", "hr",
                                        "s",  "sec", "min", "d",   "day", "l",  "k", "m3"};
    for (size_t i = 0; i < sizeof below / sizeof *below; i++) {
        char head[60], name[NR_FOLDED];
        snprintf(head, sizeof head, "Mug (drops/%s)", below[i]);
        check_head(head, "other", 0, head);
        snprintf(head, sizeof head, "Mug (2/%s)", below[i]); /* no letter above it */
        check_head(head, "", 0, head);
        if (strcmp(below[i], "sec") == 0) /* at the end of a head it may be that of a time */
            continue;
        snprintf(head, sizeof head, "Mug drops/%s", below[i]);
        nr_stated_unit u = nr_unit_of_head(head, name, sizeof name);
        check(head, &u, "other", 0);
    }
    static const struct {
        const char *head;
        bool unknown;
    } of[] = {{"Mug (0.1 degC)", true},
              {"Mug (degC x10)", true},
              {"Mug (degC*10)", true},
              {"Mug (degC/10)", true},
              {"Mug (deg 10)", false},
              {"Mug (x10)", true},
              {"Mug (x 2)", false},
              {"Mug (2)", false},
              {"Mug (top/low)", false},
              {"Mug (in/out)", false},
              {"Mug 10", false},
              {"Mug deg/10", true},
              {"Mug (top) (1/10 degC)", true},
              {"Mug (/m2)", false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        check_head(of[i].head, of[i].unknown ? "other" : "", 0, of[i].head);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {spellings,        in_brackets,   letters_alone,
                                  words_at_the_end, unknown_units, NULL};
    return run_tests("unit_words", tests);
}
