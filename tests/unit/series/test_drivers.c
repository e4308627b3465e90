/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What drives the model is made ready, for grids drawn at random: how far each channel is bridged,
 * over what it is smoothed and which sensor's lag is taken out are decisions of the project (common
 * practice, no source), restated here; the tools themselves have tests of their own (test_grid,
 * test_calm), and are used to say what is expected. */
#include "analyze/physics/longwave.h"
#include "analyze/series/inside.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

enum { MOST = 500 };

static const nr_law read_off = {.stated = false}, written_down = {.stated = true};

typedef struct drawn {
    nr_run run;
    nr_quality quality;
    nr_series series;
    nr_grid grid;
    double was[NR_ROLES][MOST]; /* as drawn, and then as it should become */
    double lag_s[NR_ROLES];
} drawn;

static bool one_in(uint64_t *s, unsigned n)
{
    return chance_below(s, n) == 0;
}

static nr_rig_channel *say(drawn *d, nr_role role)
{
    nr_rig_channel *c = &d->run.rig.channel[d->run.rig.channels++];
    snprintf(c->name, sizeof c->name, "%s", nr_role_name(role));
    return c;
}

/* About a mean, in runs of some minutes, with holes of all lengths. */
static void draw_values(drawn *d, uint64_t *s, nr_role role, double mean)
{
    size_t steps = d->grid.steps;
    double *v = d->grid.value[role] = malloc(steps * sizeof *v), level = mean;
    for (size_t k = 0; k < steps; k++) {
        if (one_in(s, 20))
            level = mean * (0.5 + chance_share(s));
        v[k] = level * (1 + 0.01 * chance_share(s));
    }
    for (size_t k = chance_below(s, 60); k < steps; k += chance_below(s, 150)) {
        size_t hole = 1 + chance_below(s, one_in(s, 3) ? 120 : 14);
        for (size_t i = 0; i < hole && k < steps; i++)
            v[k++] = NAN;
    }
    memcpy(d->was[role], v, steps * sizeof *v);
    nr_quality_channel *c = &d->quality.channel[role];
    c->good = chance_below(s, 3000);
    c->noise = one_in(s, 4) ? 0 : 0.02 * mean * chance_share(s);
    c->step = one_in(s, 2) ? 0 : 0.03 * mean * chance_share(s);
}

static const struct {
    nr_role role;
    double mean;
    bool always;
} channels[] = {
    {NR_ROLE_SUN, 700, true},     {NR_ROLE_AIR, 20, true},       {NR_ROLE_FLOW, 2, false},
    {NR_ROLE_WIND, 3, false},     {NR_ROLE_HUMIDITY, 50, false}, {NR_ROLE_SKY, 310, false},
    {NR_ROLE_DIFFUSE, 80, false}, {NR_ROLE_INLET, 30, false},    {NR_ROLE_OUTLET, 35, false}};
#define CHANNELS (sizeof channels / sizeof channels[0])

static void draw_all(drawn *d, uint64_t *s)
{
    static const double step_s[] = {5, 10, 30}, interval_s[] = {5, 59, 61, 300};
    static const double usual_s[] = {0, 100, 2000};
    memset(d, 0, sizeof *d);
    d->series.run = &d->run;
    d->series.quality = &d->quality;
    d->series.step_s = step_s[chance_below(s, 3)];
    d->series.usual_s = usual_s[chance_below(s, 3)];
    d->series.sun_modelled = one_in(s, 3);
    d->series.can_drive = !one_in(s, 3);
    d->quality.interval_s = interval_s[chance_below(s, 4)];
    d->grid.steps = 200 + chance_below(s, MOST - 200);
    d->quality.duration_s = (double)d->grid.steps * d->series.step_s;
    d->run.rig.collector.glazing = one_in(s, 2) ? NR_GLAZING_SINGLE : NR_GLAZING_NONE;
    d->run.rig.collector.tilt_deg.given = one_in(s, 2);
    d->run.rig.collector.tilt_deg.value = 30;
    for (size_t i = 0; i < CHANNELS; i++)
        if (channels[i].always || !one_in(s, 3))
            draw_values(d, s, channels[i].role, channels[i].mean);
    const nr_role lagging[] = {NR_ROLE_FLOW, NR_ROLE_INLET, NR_ROLE_OUTLET};
    for (int k = 0; k < 3; k++)
        if (one_in(s, 2))
            say(d, lagging[k])->lag_s = d->lag_s[lagging[k]] = 1 + 20 * chance_share(s);
    d->series.sparse = !one_in(s, 3);
    d->run.rig.rows = one_in(s, 4) ? NR_ROWS_MEAN : NR_ROWS_INSTANT;
    if (one_in(s, 2))
        say(d, NR_ROLE_SUN)->law = one_in(s, 2) ? &read_off : &written_down;
    if (one_in(s, 2))
        say(d, NR_ROLE_SKY)->unit = nr_unit_find(one_in(s, 2) ? "degC" : "W_m2");
}

static void same(const char *what, const double *is, const double *expected, size_t steps)
{
    ck_assert_msg((is != NULL) == (expected != NULL), "%s", what);
    for (size_t k = 0; is && k < steps; k++)
        if (!(isnan(is[k]) && isnan(expected[k])) &&
            !(fabs(is[k] - expected[k]) <= 1e-9 * fmax(1, fabs(expected[k]))))
            ck_abort_msg("%s, step %zu: %g, expected %g", what, k, is[k], expected[k]);
}

/* A sun that was read now and then, where the loop drives: not one that was made up or stated, nor
 * means. */
static bool is_seldom(const drawn *d)
{
    const nr_rig_channel *sun = nr_rig_channel_find(&d->run.rig, "sun");
    return d->series.sparse && d->series.can_drive && d->run.rig.rows == NR_ROWS_INSTANT &&
           !d->series.sun_modelled && !(sun && sun->law == &written_down);
}

/* A minute for sun and flow, ten for what hardly changes, or three and a half intervals, or what
 * is usual here; a cloudless sky that was made up, one row. Returns how many steps are filled. */
static size_t bridge(drawn *d)
{
    static double raw[MOST];
    size_t filled = 0, steps = d->grid.steps;
    double step_s = d->series.step_s, interval_s = d->quality.interval_s;
    double usual = fmax(3.5 * interval_s, d->series.usual_s);
    for (size_t i = 0; i < CHANNELS; i++) {
        nr_role role = channels[i].role;
        bool fast = role == NR_ROLE_SUN || role == NR_ROLE_FLOW;
        if (!d->grid.value[role] || role == NR_ROLE_INLET || role == NR_ROLE_OUTLET)
            continue;
        double most = fmax(fast ? 60 : 600, usual), alike = fmax(600, usual);
        if (role == NR_ROLE_SUN && d->series.sun_modelled)
            most = alike = 1.5 * interval_s;
        memcpy(raw, d->was[role], sizeof raw);
        filled += nr_grid_bridge(d->was[role], steps, step_s, most, alike, 0.1);
        if (role == NR_ROLE_SUN && is_seldom(d))
            ck_assert(nr_grid_forget(raw, d->was[role], steps, step_s, interval_s));
    }
    return filled;
}

/* Noise is that of a reading; so many of them are in a step. */
static void smooth(const drawn *d, nr_role role, double *v, double step, double near_s,
                   double far_s)
{
    static double raw[MOST];
    const nr_quality_channel *c = &d->quality.channel[role];
    double each = (double)c->good / (double)d->grid.steps;
    double noise = sqrt(c->noise * c->noise / fmax(each, 1) + step * step / 4);
    size_t near = (size_t)(near_s / d->series.step_s), far = (size_t)(far_s / d->series.step_s);
    memcpy(raw, v, d->grid.steps * sizeof *raw);
    ck_assert(nr_grid_smooth(v, d->grid.steps, noise, near));
    ck_assert(nr_grid_calm(raw, v, d->grid.steps, noise, each, near, far));
}

/* The sky of an absorber without glass, or where something tells of it: its own radiation over
 * that of the air, from humidity (Berdahl and Martin), or as usual; over a hole in the humidity as
 * before. */
static void sky_of(const drawn *d, double *sky)
{
    const double *air = d->was[NR_ROLE_AIR];
    double tilt = d->run.rig.collector.tilt_deg.given ? 30 : 45, last = NAN;
    for (size_t k = 0; k < d->grid.steps; k++) {
        double usual = nr_net_longwave_W_m2(air[k], 0.81, tilt);
        if (d->series.sky_source == NR_SKY_MEASURED_DEGC)
            sky[k] = nr_black_W_m2(d->was[NR_ROLE_SKY][k]) - nr_black_W_m2(air[k]);
        else if (d->series.sky_source == NR_SKY_MEASURED_W_M2)
            sky[k] = d->was[NR_ROLE_SKY][k] - nr_black_W_m2(air[k]);
        else if (d->series.sky_source == NR_SKY_FROM_HUMIDITY)
            sky[k] = nr_net_longwave_W_m2(
                air[k],
                nr_clear_sky_emissivity(nr_dew_point_degC(air[k], d->was[NR_ROLE_HUMIDITY][k])),
                tilt);
        else
            sky[k] = usual;
        if (isnan(sky[k]) && !isnan(air[k]))
            sky[k] = isnan(last) ? usual : last;
        last = sky[k];
    }
}

static nr_sky_source source_of(const drawn *d)
{
    bool sky = d->grid.value[NR_ROLE_SKY] != NULL, damp = d->grid.value[NR_ROLE_HUMIDITY] != NULL;
    const nr_rig_channel *c = nr_rig_channel_find(&d->run.rig, "sky");
    if (d->run.rig.collector.glazing != NR_GLAZING_NONE &&
        d->quality.channel[NR_ROLE_SKY].good + d->quality.channel[NR_ROLE_HUMIDITY].good == 0)
        return NR_SKY_NOT_USED;
    if (sky)
        return c && c->unit == nr_unit_find("degC") ? NR_SKY_MEASURED_DEGC : NR_SKY_MEASURED_W_M2;
    return damp ? NR_SKY_FROM_HUMIDITY : NR_SKY_FROM_AIR;
}

/* The diffuse part counts if it never is more than all (by 2 %) nor less than nothing. */
static bool credible(const drawn *d, bool *doubtful)
{
    size_t looked_at = 0, wrong = 0;
    for (size_t k = 0; k < d->grid.steps; k++) {
        double sun = d->was[NR_ROLE_SUN][k], share = d->was[NR_ROLE_DIFFUSE][k] / sun;
        if (isnan(share) || sun <= 100)
            continue;
        looked_at++;
        wrong += share > 1.02 || share < 0;
    }
    *doubtful = d->grid.value[NR_ROLE_DIFFUSE] && wrong > 0;
    return looked_at > 0 && wrong == 0;
}

static void probe(const drawn *d, nr_role role, const double *is)
{
    double *v = malloc(d->grid.steps * sizeof *v);
    double interval_s = d->quality.interval_s;
    double most = fmax(600, fmax(3.5 * interval_s, d->series.usual_s));
    memcpy(v, d->was[role], d->grid.steps * sizeof *v);
    (void)nr_grid_bridge(v, d->grid.steps, d->series.step_s, most, most, 0);
    if (d->quality.channel[role].noise > 0 && interval_s < 60)
        smooth(d, role, v, d->quality.channel[role].step, 60, 480);
    ck_assert(nr_grid_unlag(v, d->grid.steps, d->series.step_s, d->lag_s[role]));
    same(nr_role_name(role), is, v, d->grid.steps);
    free(v);
}

static void compare(drawn *d, bool had_diffuse, size_t filled)
{
    static double sky[MOST];
    nr_grid *g = &d->grid;
    size_t steps = g->steps;
    double *flow = d->was[NR_ROLE_FLOW];
    bool drives = d->series.can_drive && g->value[NR_ROLE_INLET] && g->value[NR_ROLE_OUTLET];
    ck_assert_uint_eq(d->series.bridged_steps, filled);
    if (g->value[NR_ROLE_WIND])
        ck_assert(nr_grid_smooth(
            d->was[NR_ROLE_WIND], steps, INFINITY,
            (size_t)((nr_series_glazed(&d->run.rig) ? 150 : 30) / d->series.step_s)));
    if (g->value[NR_ROLE_FLOW] && d->quality.channel[NR_ROLE_FLOW].noise > 0)
        smooth(d, NR_ROLE_FLOW, flow, 0, 120, 1920);
    if (g->value[NR_ROLE_FLOW])
        ck_assert(nr_grid_unlag(flow, steps, d->series.step_s, d->lag_s[NR_ROLE_FLOW]));
    for (size_t i = 0; i < CHANNELS; i++)
        if (g->value[channels[i].role])
            same(nr_role_name(channels[i].role), g->value[channels[i].role],
                 d->was[channels[i].role], steps);
    ck_assert(had_diffuse == (g->value[NR_ROLE_DIFFUSE] != NULL));
    ck_assert_int_eq(d->series.sky_source, source_of(d));
    sky_of(d, sky);
    same("net long-wave", g->sky, d->series.sky_source == NR_SKY_NOT_USED ? NULL : sky, steps);
    ck_assert((g->inlet != NULL) == drives && (g->outlet != NULL) == drives);
    if (drives) {
        probe(d, NR_ROLE_INLET, g->inlet);
        probe(d, NR_ROLE_OUTLET, g->outlet);
    }
}

START_TEST(all_that_drives)
{
    static drawn d;
    uint64_t s = 5;
    int kept = 0, seldom = 0, source[8] = {0};
    for (int number = 0; number < 160; number++) {
        bool doubtful;
        draw_all(&d, &s);
        size_t filled = bridge(&d);
        bool keeps = credible(&d, &doubtful) && d.grid.value[NR_ROLE_DIFFUSE];
        ck_assert(nr_grid_prepare(&d.series, &d.grid));
        ck_assert(d.series.diffuse_doubtful == doubtful);
        compare(&d, keeps, filled);
        kept += keeps;
        seldom += is_seldom(&d);
        source[d.series.sky_source]++;
        nr_grid_free(&d.grid);
    }
    ck_assert(kept > 5 && seldom > 5);
    for (int k = NR_SKY_NOT_USED; k <= NR_SKY_MEASURED_W_M2; k++)
        ck_assert_msg(source[k] > 3, "source %d: %d", k, source[k]);
}
END_TEST

/* A diffuse reading that is over the whole by a little more than 2 %, or below nothing. */
START_TEST(more_diffuse_than_there_is)
{
    static drawn d;
    static const struct {
        double sun, diffuse;
        bool doubtful;
    } rows[] = {{500, 509, false}, {500, 511, true}, {500, 0, false},
                {500, -1, true},   {101, 200, true}, {99, 200, false}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        uint64_t s = 6;
        do {
            draw_all(&d, &s);
        } while (d.grid.value[NR_ROLE_DIFFUSE] == NULL);
        for (size_t k = 0; k < d.grid.steps; k++) {
            d.grid.value[NR_ROLE_SUN][k] = k == 7 ? rows[i].sun : 600;
            d.grid.value[NR_ROLE_DIFFUSE][k] = k == 7 ? rows[i].diffuse : 80;
        }
        ck_assert(nr_grid_prepare(&d.series, &d.grid));
        ck_assert_msg(d.series.diffuse_doubtful == rows[i].doubtful &&
                          (d.grid.value[NR_ROLE_DIFFUSE] == NULL) == rows[i].doubtful,
                      "row %zu", i);
        nr_grid_free(&d.grid);
    }
}
END_TEST

/* Half of the readings of inlet, outlet and flow, each. */
START_TEST(enough_to_drive)
{
    static nr_quality q;
    const nr_role needed[] = {NR_ROLE_INLET, NR_ROLE_OUTLET, NR_ROLE_FLOW};
    q.rows = 200;
    for (int missing = -1; missing < 3; missing++) {
        for (int k = 0; k < 3; k++)
            q.channel[needed[k]].good = k == missing ? 99 : 100;
        ck_assert(nr_series_can_drive(&q) == (missing < 0));
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {all_that_drives, more_diffuse_than_there_is, enough_to_drive,
                                  NULL};
    return run_tests("drivers", tests);
}
