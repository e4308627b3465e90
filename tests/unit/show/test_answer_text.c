/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Answers as text: the sentence first, intervals beside values, nothing wider than a terminal,
 * nothing hostile let through. */
#include "analyze/show/show.h"
#include "tests/unit/near.h"
#include "tests/unit/plots/fixture.h"

static char *text_of_fit(const nr_fit *fit, nr_units units)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    nr_show_fit(to, fit, units);
    fclose(to);
    return text;
}

static size_t characters(const char *from, size_t bytes)
{
    size_t n = 0;
    for (size_t i = 0; i < bytes; i++)
        n += ((unsigned char)from[i] & 0xC0) != 0x80;
    return n;
}

/* No line over the width, no blanks at its end, no unknown number spelled out. Rows of tables with
 * long US units may run over by the unit. */
static void is_tidy(const char *text, size_t width)
{
    for (const char *line = text; *line != '\0';) {
        size_t length = strcspn(line, "\n");
        ck_assert_msg(characters(line, length) <= width, "too wide: %.*s", (int)length, line);
        ck_assert_msg(length == 0 || line[length - 1] != ' ', "blank at end: %.*s|", (int)length,
                      line);
        line += length + (line[length] == '\n');
    }
    ck_assert_ptr_null(strstr(text, "nan"));
    ck_assert_ptr_null(strstr(text, "inf"));
}

/* In the text as it would be on one long line: where a line breaks is not the point. */
static void has(const char *text, const char *part)
{
    char *flat = calloc(1, strlen(text) + 1), *to = flat;
    for (const char *p = text; *p != '\0'; p++)
        if ((*p != ' ' && *p != '\n') || (to > flat && to[-1] != ' '))
            *to++ = *p == '\n' ? ' ' : *p;
    ck_assert_msg(strstr(flat, part) != NULL, "missing \"%s\" in:\n%s", part, text);
    free(flat);
}

static void has_not(const char *text, const char *part)
{
    ck_assert_msg(strstr(text, part) == NULL, "unwanted \"%s\" in:\n%s", part, text);
}

START_TEST(fit_si)
{
    fixture x = {.seed = 1};
    char *text = text_of_fit(fixture_fit(&x, &fixture_glazed, 1), NR_UNITS_SI);
    ck_assert(strncmp(text, "Warm as the air around it, this collector turns 71 %", 52) == 0);
    /* 0.712 with u hypot(0.004, 0.0221) = 0.0225: 0.668 to 0.756 */
    has(text, "eta0 0.712 0.668 .. 0.756 0.004 0.022 ");
    has(text, "a1 8.10 6.84 .. 9.36 0.50 0.40 W/(m2 K)");
    has(text, "irradiance sensor, gain (taken as 3 %): 91 % of the variance of eta0");
    has(text, "random: noise, wind, mixing: 42 % of that of a1");
    has(text, "Tested from 4 K below to 13 K above the air");
    has(text, "flow sensor, gain 100.0 +- 2.0 -> 105.10 +- 0.80 % (check it)");
    has_not(text, "gross area                      "); /* the record said nothing about it */
    has(text, " - The loss coefficient is uncertain because the water was only within 13 K of");
    has(text, "5400 rows, 90 min, 85 min of it used.");
    is_tidy(text, 80);
    free(text);
    fixture_done(&x);
}
END_TEST

START_TEST(fit_us)
{
    fixture x = {.seed = 1};
    char *text = text_of_fit(fixture_fit(&x, &fixture_glazed, 1), NR_UNITS_US);
    /* 8.1/5.678263 = 1.42649, u 0.6403/5.678263 = 0.1128; one digit in the sentence, two below */
    has(text, "each degree Fahrenheit warmer costs 1.4 (95 %: 1.2 to 1.6) Btu/h per square foot");
    has(text, "a1 1.43 1.21 .. 1.65 0.09 0.07 Btu/(h ft2 degF)");
    has(text, "Tested from 7 degF below to 24 degF above the air");
    has(text, "only within 23 degF of one difference");
    has(text, "Per 11.84 ft2 of gross area"); /* 1.1 m2 / 0.09290304 */
    has(text, "store sensor, offset 0.00 +- 0.27 -> 0.07 +- 0.14 degF");
    has_not(text, "W/(m2 K)");
    is_tidy(text, 88);
    free(text);
    fixture_done(&x);
}
END_TEST

START_TEST(fit_that_knows_little)
{
    fixture x = {.seed = 1};
    fixture_build b = fixture_glazed;
    b.loop = false;
    nr_fit *fit = fixture_fit(&x, &b, 2);
    fit->a1 = fixture_unknown(NR_UNIT_W_M2K);
    fit->dT_range[0] = NAN;
    fit->sun_J = NAN;
    fit->incidence.known = false;
    fit->budget_items = 0;
    fit->learned_items = 0;
    fit->warnings.count = 0;
    char *text = text_of_fit(fit, NR_UNITS_SI);
    has(text, "what a warmer collector loses, this record does not tell.");
    has(text, "loss coefficient a1 - not determined");
    has(text, "container's loss - not determined");
    has_not(text, "Tested from");
    has_not(text, "Mind");
    has_not(text, "What limits");
    is_tidy(text, 80);
    free(text);
    fit->eta0 = fixture_unknown(NR_UNIT_ONE);
    text = text_of_fit(fit, NR_UNITS_SI);
    ck_assert(strncmp(text, "This record does not tell", 25) == 0);
    is_tidy(text, 80);
    free(text);
    fixture_done(&x);
}
END_TEST

START_TEST(hostile_words)
{
    fixture x = {.seed = 1};
    fixture_build b = fixture_glazed;
    b.title = "\x1b[2Jwiped \xff\xfe \r\n\x07 bell \xe2\x80\xae turned";
    b.folder = "a\x1b]0;title\x07";
    nr_fit *fit = fixture_fit(&x, &b, 1);
    (void)snprintf(fit->learned[0].label, sizeof fit->learned[0].label, "\x1b[31mred");
    char *text = text_of_fit(fit, NR_UNITS_US);
    for (const char *p = text; *p != '\0'; p++)
        ck_assert_msg((unsigned char)*p >= 32 || *p == '\n', "control character %d", *p);
    has_not(text, "\xe2\x80\xae");
    has_not(text, "\xff");
    is_tidy(text, 88);
    free(text);
    fixture_done(&x);
}
END_TEST

START_TEST(comparison)
{
    fixture x = {.seed = 1};
    const fixture_build builds[] = {fixture_glazed, fixture_bare};
    nr_compare *c = fixture_compare(&x, builds, 2);
    for (int us = 0; us < 2; us++) {
        char *text = NULL;
        size_t size;
        FILE *to = open_memstream(&text, &size);
        nr_show_compare(to, c, false, us ? NR_UNITS_US : NR_UNITS_SI);
        fclose(to);
        ck_assert(strncmp(text, "For heating ", 12) == 0);
        has(text, us ? "10.6 gal from 59 to 104 degF" : "40 kg from 15 to 40 degC");
        has(text, "Glazed wash stand beats Bare wash stand: ");
        has_not(text, "changed places");
        /* 8.1 - 17.4 = -9.3 W/(m2 K), u 0.76; in US units -1.64, 0.13 */
        has(text, us ? "-1.64 -1.90 .. -1.37" : "-9.30 -10.79 .. -7.81");
        /* 900 W/m2 * 0.09 / 9.3 W/(m2 K) = 8.71 K = 15.68 degF */
        has(text, us ? "their curves cross 15.7 degF above the air"
                     : "their curves cross 8.7 K above the air");
        has(text, "heats up faster than Bare wash stand with a probability of 99.7 %");
        has(text, "for only some of the builds");
        is_tidy(text, us ? 88 : 80);
        free(text);
    }
    fixture_done(&x);
}
END_TEST

static char *text_of_compare(const nr_compare *c, bool pairs, nr_units units)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    nr_show_compare(to, c, pairs, units);
    fclose(to);
    return text;
}

static void has_in_order(const char *text, const char *one, const char *other)
{
    const char *first = strstr(text, one);
    ck_assert_msg(first && strstr(first, other), "no \"%s\" behind \"%s\" in:\n%s", other, one,
                  text);
}

/* More than two: the best group first, one table by time, pairs only when asked for; a long name
 * and a wide one have lines of their own. */
START_TEST(many_builds)
{
    fixture x = {.seed = 1};
    fixture_build slow = fixture_bare, never = fixture_bare;
    slow.eta0 = 0.72;
    slow.name = "Twice glazed with the last panes of the old seedling tunnel";
    never.eta0 = 0.3;
    never.name = "\u6c34\u306e\u7bb1";
    const fixture_build builds[] = {never, slow, fixture_glazed, fixture_bare};
    nr_compare *c = fixture_compare(&x, builds, 4);
    c->all_k[NR_BY_TIME] = 2.5;
    c->exchanged[0] = "inlet";
    c->exchanged[1] = "sun";
    c->exchanged[2] = "flow";
    c->exchanged_count = 3;
    nr_verdict_judge(c);
    for (int us = 0; us < 2; us++) {
        char *text = text_of_compare(c, false, us ? NR_UNITS_US : NR_UNITS_SI);
        has(text, "Glazed wash stand heats up first of 4: ");
        has(text, "Slower for certain (95 %, all pairs together): ");
        has(text, "\u6c34\u306e\u7bb1 does not get there within twelve hours.");
        has_in_order(text, "\n  Glazed wash stand", slow.name);
        has_in_order(text, slow.name, never.name);
        has(text, "does not get there");
        has(text, "Sensors changed places between the records (inlet, sun and flow): ");
        has(text, us ? "a1 in Btu/(h ft2 degF)" : "a1 in W/(m2 K)");
        has_not(text, "How sure");
        is_tidy(text, us ? 88 : 80);
        free(text);
    }
    char *text = text_of_compare(c, true, NR_UNITS_SI);
    has(text, "95 %, all pairs");
    has_not(text, "95 % interval ");
    has(text, "With 6 pairs looked at together");
    is_tidy(text, 80);
    free(text);
    fixture_done(&x);
}
END_TEST

START_TEST(prediction)
{
    fixture x = {.seed = 1};
    for (int reached = 0; reached < 2; reached++) {
        char *text = NULL;
        size_t size;
        FILE *to = open_memstream(&text, &size);
        nr_show_predict(to, fixture_predict(&x, reached == 1, reached == 0), NR_UNITS_SI);
        fclose(to);
        has(text, " 40 kg of water ");
        has(text, "scalds");
        if (reached)
            has(text, "Steady sun of 900 W/m2, air at 22 degC.");
        else
            has(text, "A clear-sky day at 51.87, 0.63");
        has(text, reached ? " 240 57.6 54.6 .. 60.6 900" : " 240 53.7 51.0 .. 56.4 608");
        is_tidy(text, 80);
        free(text);
    }
    fixture_done(&x);
}
END_TEST

START_TEST(inspection)
{
    fixture x = {.seed = 1};
    nr_run *run;
    nr_inspect *i = fixture_inspect(&x, 9, &run);
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    nr_show_inspect(to, i, NR_UNITS_US);
    fclose(to);
    ck_assert(strncmp(text, "This record of 90 minutes can be fitted", 39) == 0);
    const char *fault = strstr(text, "FAULT, air"), *doubt = strstr(text, "doubt, minute 52.0");
    ck_assert(fault != NULL && doubt != NULL && fault < doubt); /* worst first */
    has(text, "air did not move at all for 600 s although it should have.");
    has(text, "-> The adapter may repeat");
    has(text, "Usable for: the container's heat balance (store) and the loop's.");
    free(text);
    fixture_done(&x);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {fit_si,        fit_us,     fit_that_knows_little,
                                  hostile_words, comparison, many_builds,
                                  prediction,    inspection, NULL};
    return run_tests("text", tests);
}
