/* `noonfit compare` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/round.h"
#include "analyze/show/show.h"

#include <math.h>
#include <string.h>

typedef const nr_quantity *(*build_quantity)(const nr_compare *, size_t);
typedef const nr_quantity *(*difference_quantity)(const nr_difference *);

static const nr_quantity *build_eta0(const nr_compare *c, size_t i)
{
    return &c->build[i]->eta0;
}
static const nr_quantity *build_a1(const nr_compare *c, size_t i)
{
    return &c->build[i]->a1;
}
static const nr_quantity *build_run(const nr_compare *c, size_t i)
{
    return &c->build[i]->run_efficiency;
}
static const nr_quantity *build_time(const nr_compare *c, size_t i)
{
    return &c->heat_up[i].time_s;
}
static const nr_quantity *difference_eta0(const nr_difference *d)
{
    return &d->eta0;
}
static const nr_quantity *difference_a1(const nr_difference *d)
{
    return &d->a1;
}
static const nr_quantity *difference_time(const nr_difference *d)
{
    return &d->heat_up_s;
}

/* One quantity of all builds, then its differences. */
typedef struct block {
    const char *title;
    nr_shown what;
    build_quantity of_build;
    difference_quantity of_difference; /* NULL: no difference is answered */
} block;

static const block blocks[] = {
    {"zero-loss efficiency eta0", NR_SHOWN_NUMBER, build_eta0, difference_eta0},
    {"loss coefficient a1", NR_SHOWN_COLLECTOR_LOSS, build_a1, difference_a1},
    {"heat-up on the reference day", NR_SHOWN_MINUTES, build_time, difference_time},
    {"efficiency of its own run", NR_SHOWN_NUMBER, build_run, NULL},
};

static void difference_row(FILE *to, const nr_compare *c, const nr_difference *d, const block *b,
                           nr_units units)
{
    char label[2 * NR_NAME + 8];
    const nr_quantity *q = b->of_difference(d);
    (void)snprintf(label, sizeof label, "  %s - %s", c->label[d->of], c->label[d->against]);
    nr_quantity_row(to, label, b->what, units, q);
}

static void block_rows(FILE *to, const nr_compare *c, const block *b, nr_units units)
{
    fprintf(to, "\n  %s\n", b->title);
    for (size_t i = 0; i < c->builds; i++) {
        char label[NR_NAME + 4];
        (void)snprintf(label, sizeof label, "  %s", c->label[i]);
        nr_quantity_row(to, label, b->what, units, b->of_build(c, i));
    }
    for (size_t i = 0; b->of_difference != NULL && i < c->differences; i++)
        difference_row(to, c, &c->difference[i], b, units);
}

static char *shown(nr_shown what, nr_units units, double si, int digits, char text[NR_ROUNDED])
{
    double value = nr_display_value(what, units, si);
    return nr_plain_text(value, digits, text);
}

static void reference_day(FILE *to, const nr_reference_day *day, nr_units units)
{
    char sun[NR_ROUNDED], air[NR_ROUNDED], water[NR_ROUNDED], from[NR_ROUNDED], end[NR_ROUNDED];
    char wind[NR_ROUNDED], windy[96] = "";
    if (isfinite(day->wind_m_s))
        (void)snprintf(windy, sizeof windy, ", wind %s %s",
                       shown(NR_SHOWN_SPEED, units, day->wind_m_s, 2, wind),
                       nr_display_of(NR_SHOWN_SPEED, units)->plain);
    nr_sentence(to, NR_UNITS_SI, "",
                "The reference day%s: %s %s of sun, air at %s %s%s, %s %s of water from %s to %s "
                "%s.",
                day->stated ? ", as stated" : ", taken from the records",
                shown(NR_SHOWN_IRRADIANCE, units, day->sun_W_m2, 3, sun),
                nr_display_of(NR_SHOWN_IRRADIANCE, units)->plain,
                shown(NR_SHOWN_TEMPERATURE, units, day->air_degC, 3, air),
                nr_display_of(NR_SHOWN_TEMPERATURE, units)->plain, windy,
                shown(NR_SHOWN_WATER, units, day->store_kg, 3, water),
                nr_display_of(NR_SHOWN_WATER, units)->plain,
                shown(NR_SHOWN_TEMPERATURE, units, day->from_degC, 3, from),
                shown(NR_SHOWN_TEMPERATURE, units, day->to_degC, 3, end),
                nr_display_of(NR_SHOWN_TEMPERATURE, units)->plain);
}

static void pair(FILE *to, const nr_compare *c, const nr_difference *d, nr_units units)
{
    char crossing[NR_ROUNDED], crossed[160] = "", power[96] = "";
    if (d->crossing_known)
        (void)snprintf(
            crossed, sizeof crossed, "; their curves cross %s %s %s the air",
            nr_round_text(nr_display_difference(NR_SHOWN_DIFFERENCE, units, fabs(d->crossing_K)), 0,
                          crossing),
            nr_display_of(NR_SHOWN_DIFFERENCE, units)->plain,
            d->crossing_K < 0 ? "below" : "above");
    if (isfinite(d->power))
        (void)snprintf(power, sizeof power,
                       "; a test like this shows a difference of 10 %% in eta0 %.0f times in 100",
                       100 * d->power);
    if (isfinite(d->probability_better))
        nr_sentence(to, NR_UNITS_SI, "  - ",
                    "%s heats up faster than %s with probability %.3g%s%s.", c->label[d->of],
                    c->label[d->against], d->probability_better, crossed, power);
}

static void how_sure(FILE *to, const nr_compare *c, nr_units units)
{
    fputs("\nHow sure\n", to);
    for (size_t i = 0; i < c->differences; i++)
        pair(to, c, &c->difference[i], units);
    if (c->differences > 1 && isfinite(c->difference[0].confidence_adjusted))
        nr_sentence(to, NR_UNITS_SI, "  - ",
                    "With %zu pairs looked at together, each difference was judged at the %.1f %% "
                    "level, so that all statements together hold at 95 %%.",
                    c->differences, 100 * c->difference[0].confidence_adjusted);
}

void nr_show_compare(FILE *to, const nr_compare *c, nr_units units)
{
    nr_sentence(to, units, "", "%s", c->verdict);
    fputc('\n', to);
    nr_quantity_heading(to);
    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++)
        block_rows(to, c, &blocks[i], units);
    fputc('\n', to);
    if (c->builds > 0)
        nr_sentence(to, NR_UNITS_SI, "",
                    "All on gross area and the %s temperature of the collector. What two builds "
                    "share (the same sensors) cancels in their differences.",
                    c->build[0]->reference == NR_REFERENCE_MEAN ? "mean fluid" : "inlet");
    reference_day(to, &c->day, units);
    how_sure(to, c, units);
    nr_warning_lines(to, "Mind", &c->warnings, units, NULL);
}
