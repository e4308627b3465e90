/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What misfit reads off the readings and the priors without any signature, worked out a second
 * time: inlet against container, loop against container, departures of what was stated, two
 * witnesses of the sun. */
#include "tests/unit/misfit/looked_at.h"

/* ---- balances of readings ---- */

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double middle_of(double *v, size_t n)
{
    qsort(v, n, sizeof *v, ascending);
    return n % 2 ? v[n / 2] : (v[n / 2 - 1] + v[n / 2]) / 2;
}

typedef struct jump {
    size_t moments, at;
    double size, largest, wander;
} jump;

/* Five minutes on both sides of each block, of three readings in five at least. */
static jump largest_jump(const looked_at *l)
{
    static double step[MOST], scratch[MOST];
    const nr_part *p = l->s.view.part;
    size_t half = (size_t)(300 / l->series->block_s), n = 0;
    for (size_t b = 0; b < l->s.blocks; b++) {
        double apart[2] = {0}, rise[2] = {0}, seen[2] = {0};
        step[b] = NAN;
        for (size_t k = b < half ? 0 : b - half; k < b + half && k < l->s.blocks; k++) {
            double in = p->reading[NR_OUT_INLET][k], out = p->reading[NR_OUT_OUTLET][k],
                   store = p->reading[NR_OUT_STORE][k];
            if (!p->settled[k] || isnan(in) || isnan(out) || isnan(store))
                continue;
            apart[k >= b] += in - store;
            rise[k >= b] += out - in;
            seen[k >= b]++;
        }
        if (b < half || b + half > l->s.blocks || fmin(seen[0], seen[1]) < 0.6 * (double)half)
            continue;
        double by = apart[1] / seen[1] - apart[0] / seen[0];
        double layers = 0.1 * fabs(rise[1] / seen[1] - rise[0] / seen[0]);
        step[b] = fabs(by) <= layers ? 0 : by > 0 ? by - layers : by + layers;
        scratch[n++] = step[b];
    }
    jump j = {.moments = n};
    double usual = n ? middle_of(scratch, n) : NAN;
    for (size_t i = 0; i < n; i++)
        scratch[i] = fabs(scratch[i] - usual);
    j.wander = n ? fmax(1.4826 * middle_of(scratch, n), 0.02) : NAN;
    for (size_t b = 0; b < l->s.blocks; b++)
        if (fabs(step[b] - usual) > j.largest) {
            j.largest = fabs(step[b] - usual);
            j.size = step[b] - usual;
            j.at = b;
        }
    return j;
}

START_TEST(inlet_minute_by_minute)
{
    static looked_at l;
    open_it(&l, true);
    nr_err err;
    size_t half = (size_t)(300 / l.series->block_s);
    jump j = largest_jump(&l);
    ck_assert(nr_misfit_inlet(&l.s, &err) == NR_OK);
    const nr_misfit_finding *f = found(&l, NR_MISFIT_INLET_STEP, NR_OUT_INLET);
    ck_assert_msg(f != NULL, "%g against %g", j.largest, j.wander);
    NEAR(f->size, j.size, 1e-9);
    NEAR(f->u, j.wander, 1e-9);
    NEAR(f->at_s, at_time(&l, j.at), 1e-9);
    NEAR_RELATIVE(f->strength, j.largest / j.wander / (2 * nr_misfit_limit(l.s.blocks / half)),
                  1e-9);
    double share = (double)j.at / (double)l.s.blocks;
    double matters = j.largest * fmin(share, 1 - share) / l.s.rise_K;
    for (int more = 0; more < 2; more++) {
        l.scale.efficiency_u = 2 * matters / (more ? 1.001 : 0.999);
        l.out.count = 0;
        ck_assert(nr_misfit_inlet(&l.s, &err) == NR_OK);
        ck_assert((found(&l, NR_MISFIT_INLET_STEP, NR_OUT_INLET) != NULL) == more);
    }
    close_it(&l);
}
END_TEST

/* A step somewhere, of another size on another rise, over flat readings with more or less noise, of
 * which more or fewer are missing: thirty moments at least can be told. */
static void draw_step(looked_at *l, unsigned long long *s)
{
    const nr_part *p = l->s.view.part;
    double at = chance(s), by = 8 * chance(s) - 4, more = 8 * chance(s) - 4;
    double noise = 0.1 * chance(s), missing = 0.45 * chance(s), share = chance(s);
    at *= share < 0.4 ? 0.15 : 1;
    l->s.blocks = 61 + (size_t)(share < 0.4 ? 60 * chance(s) : 300 * chance(s));
    l->s.rise_K = 0.5 + 5 * chance(s);
    l->scale.efficiency_u = pow(10, -3 * chance(s));
    for (size_t b = 0; b < l->s.blocks; b++) {
        bool after = (double)b >= at * (double)l->s.blocks;
        double water = 30 + chance(s), in = water + 0.4 + noise * chance(s) + (after ? by : 0);
        int what = (int)(4 * chance(s));
        bool gone = chance(s) < missing;
        p->reading[NR_OUT_STORE][b] = gone && what == 0 ? NAN : water;
        p->reading[NR_OUT_INLET][b] = gone && what == 1 ? NAN : in;
        p->reading[NR_OUT_OUTLET][b] = gone && what == 2 ? NAN : in + 5 + (after ? more : 0);
        p->settled[b] = !(gone && what == 3);
    }
}

START_TEST(drawn_steps_of_the_inlet)
{
    static looked_at l;
    unsigned long long s = 16;
    nr_err err;
    int said = 0, few = 0;
    open_it(&l, true);
    size_t half = (size_t)(300 / l.series->block_s);
    for (int number = 0; number < 80; number++) {
        draw_step(&l, &s);
        jump j = largest_jump(&l);
        double share = (double)j.at / (double)l.s.blocks;
        double matters = j.largest * fmin(share, 1 - share) / l.s.rise_K * 2 / l.scale.efficiency_u;
        double strength =
            fmin(j.largest / j.wander / (2 * nr_misfit_limit(l.s.blocks / half)), matters);
        l.out.count = 0;
        ck_assert(nr_misfit_inlet(&l.s, &err) == NR_OK);
        const nr_misfit_finding *f = found(&l, NR_MISFIT_INLET_STEP, NR_OUT_INLET);
        ck_assert_msg((f != NULL) == (j.moments >= 30 && strength >= 1),
                      "record %d: %zu moments, %g", number, j.moments, strength);
        few += strength >= 1 && j.moments < 30;
        said += f != NULL;
        if (!f)
            continue;
        NEAR_RELATIVE(f->strength, strength, 1e-9);
        NEAR(f->size, j.size, 1e-9);
        NEAR(f->u, j.wander, 1e-9);
        NEAR(f->at_s, at_time(&l, j.at), 1e-9);
        ck_assert(isnan(f->until_s) && f->run == l.s.view.run);
    }
    ck_assert_msg(said > 10 && few > 1, "%d, %d", said, few);
    close_it(&l);
}
END_TEST

static double u_of(const looked_at *l, const char *name)
{
    const nr_rig_channel *c = nr_rig_channel_find(&l->run->run.rig, name);
    return isnan(c->u_offset) ? 0.3 : c->u_offset;
}

/* Weighted least squares with five unknowns, of which four have priors, by elimination. */
static void residuals(const double (*row)[5], const double *y, size_t n, double w,
                      const double *prior, const double *u, double *left)
{
    double a[5][6] = {{0}};
    for (int i = 0; i < 5; i++) {
        for (size_t k = 0; k < n; k++) {
            for (int c = 0; c < 5; c++)
                a[i][c] += w * row[k][i] * row[k][c];
            a[i][5] += w * row[k][i] * y[k];
        }
        if (i < 4) {
            a[i][i] += 1 / (u[i] * u[i]);
            a[i][5] += prior[i] / (u[i] * u[i]);
        }
    }
    for (int p = 0; p < 5; p++)
        for (int i = 0; i < 5; i++)
            for (int c = 5; i != p && c >= p; c--)
                a[i][c] -= a[i][p] / a[p][p] * a[p][c];
    for (size_t k = 0; k < n; k++) {
        left[k] = y[k];
        for (int i = 0; i < 5; i++)
            left[k] -= row[k][i] * a[i][5] / a[i][i];
    }
}

START_TEST(loop_against_container)
{
    static looked_at l;
    static double row[MOST][5], y[MOST], left[MOST], at_s[MOST];
    for (int stated = 0; stated < 2; stated++) {
        open_it(&l, true);
        nr_err err;
        nr_rig *rig = &l.run->run.rig;
        rig->store.loss_W_K = (nr_value){.given = stated, .value = 3, .u = NAN};
        for (size_t c = 0; c < rig->channels && stated; c++)
            if (!strcmp(rig->channel[c].name, "inlet"))
                rig->channel[c].u_offset = NAN;
        const nr_part *p = l.s.view.part;
        for (size_t b = l.s.blocks / 2; b < l.s.blocks; b++)
            p->reading[NR_OUT_STORE][b] += 2;
        size_t per = l.series->steps_per_block, n = 0;
        double heat = rig->store.water_kg.value * l.series->cp_J_kgK, dt = l.series->block_s;
        double sum[4] = {0}, apart[2] = {0}, seen[2] = {0}, first = NAN, span = 0;
        double rise = 0, excess = 0;
        for (size_t b = 0; b < l.s.blocks; b++) {
            double in = p->reading[NR_OUT_INLET][b], out = p->reading[NR_OUT_OUTLET][b],
                   store = p->reading[NR_OUT_STORE][b], flow = 0;
            for (size_t k = 0; k < per; k++)
                flow += p->flow_W_K[b * per + k] / (double)per;
            rise = isnan(out - in) ? rise : out - in;
            excess = isnan(store) ? excess : store - p->air_degC[b * per];
            sum[0] += flow * dt * rise / heat;
            sum[1] += flow * dt / heat;
            sum[2] += dt * excess;
            sum[3] += dt;
            if (p->settled[b] && !isnan(in - store)) {
                apart[b >= (l.s.blocks + 1) / 2] += in - store;
                seen[b >= (l.s.blocks + 1) / 2]++;
            }
            if (!p->settled[b] || isnan(store))
                continue;
            first = isnan(first) ? store : first;
            for (int i = 0; i < 4; i++)
                row[n][i] = sum[i];
            row[n][4] = 1;
            y[n] = store - first;
            at_s[n] = at_time(&l, b) + dt / 2;
            span = fmax(span, fabs(y[n]));
            n++;
        }
        double u_flow = nr_rig_channel_find(rig, "flow")->u_gain, u = 0.02 * l.s.store_rise_K;
        double offset = hypot(u_of(&l, "inlet"), u_of(&l, "outlet")), usual = stated ? 3 : 2;
        double prior[4] = {1, 0, -usual / heat, 3 / heat};
        double prior_u[4] = {hypot(isnan(u_flow) ? 0.03 : u_flow, 0.015), offset,
                             (stated ? 0.9 : 2) / heat, 4 / heat};
        residuals((const double(*)[5])row, y, n, 1 / (u * u), prior, prior_u, left);
        size_t half = (size_t)(60 / dt), top = 0, bottom = 0;
        double high = -1e9, low = 1e9;
        for (size_t i = 0; i < n; i++) {
            double mean = 0, of = 0;
            for (size_t k = 0; k < n; k++)
                if (k + half >= i && k <= i + half) {
                    mean += left[k];
                    of++;
                }
            if (mean / of > high) {
                high = mean / of;
                top = i;
            }
            if (mean / of < low) {
                low = mean / of;
                bottom = i;
            }
        }
        ck_assert(nr_misfit_balance(&l.s, &err) == NR_OK);
        const nr_misfit_finding *f = found(&l, NR_MISFIT_LOOP_STORE, NR_OUT_STORE);
        double range = (high - low) / span;
        ck_assert_msg(f != NULL, "%g", range);
        NEAR_RELATIVE(f->size, range, 1e-6);
        NEAR_RELATIVE(f->strength, range / 0.04, 1e-6);
        NEAR(f->at_s, fmin(at_s[top], at_s[bottom]), 1e-9);
        NEAR(f->until_s, fmax(at_s[top], at_s[bottom]), 1e-9);
        NEAR(f->u, 0.02, 0);
        /* Inlet and container, a level apart: over four times what probes and layers explain. */
        double level = (apart[0] / seen[0] + apart[1] / seen[1]) / 2;
        double by = hypot(hypot(u_of(&l, "inlet"), u_of(&l, "store")), 0.1 * l.s.rise_K);
        for (int more = 0; more < 2; more++) {
            double target = 4 * by * (more ? 1.001 : 0.999) - level;
            for (size_t b = 0; b < l.s.blocks; b++)
                p->reading[NR_OUT_INLET][b] += target;
            level += target;
            l.out.count = 0;
            ck_assert(nr_misfit_balance(&l.s, &err) == NR_OK);
            f = found(&l, NR_MISFIT_INLET_STORE, NR_OUT_INLET);
            ck_assert((f != NULL) == more);
            if (f) {
                NEAR(f->size, level, 1e-9);
                NEAR(f->u, by, 1e-9);
                NEAR_RELATIVE(f->strength, 1.001, 1e-6);
            }
        }
        close_it(&l);
    }
}
END_TEST

/* ---- two probes in the same water ---- */

static nr_rig_channel *channel(looked_at *l, const char *name)
{
    nr_rig *rig = &l->run->run.rig;
    for (size_t c = 0; c < rig->channels; c++)
        if (!strcmp(rig->channel[c].name, name))
            return &rig->channel[c];
    ck_abort_msg("no %s", name);
    return NULL;
}

/* Readings that part, and rise by another amount over the loop, from one third to the next; some
 * are missing, and some of the time nothing is settled. */
static void draw_readings(looked_at *l, unsigned long long *s)
{
    static const char *const name[] = {"inlet", "store"};
    const nr_part *p = l->s.view.part;
    double settled = chance(s), apart[3], rise[3];
    l->s.blocks = 60 + (size_t)(100 * chance(s));
    l->s.rise_K = 0.5 + 5 * chance(s);
    l->s.store_rise_K = 1 + 20 * chance(s);
    l->scale.efficiency_u = pow(10, -2 * chance(s)); /* either may be what limits */
    for (int k = 0; k < 3; k++) {
        apart[k] = 10 * chance(s) - 5;
        rise[k] = 5 * chance(s);
    }
    for (int k = 0; k < 2; k++) {
        nr_rig_channel *c = channel(l, name[k]);
        double drift = chance(s), offset = chance(s);
        c->u_drift = drift < 0.3 ? NAN : 0.2 * drift;
        c->u_offset = offset < 0.3 ? NAN : 0.3 * offset;
    }
    for (size_t b = 0; b < l->s.blocks; b++) {
        double water = 30 + chance(s), in = water + apart[3 * b / l->s.blocks] + 0.1 * chance(s);
        double out = in + rise[3 * b / l->s.blocks];
        int missing = (int)(30 * chance(s));
        p->reading[NR_OUT_STORE][b] = missing == 0 ? NAN : water;
        p->reading[NR_OUT_INLET][b] = missing == 1 ? NAN : in;
        p->reading[NR_OUT_OUTLET][b] = missing == 2 ? NAN : out;
        p->settled[b] = chance(s) < settled;
    }
}

/* Mean of one reading over another in settled blocks from .. to - 1 with all of them read; how
 * many. */
static double mean_apart(const looked_at *l, int of, int over, bool all, size_t from, size_t to,
                         double *n)
{
    const nr_part *p = l->s.view.part;
    double sum = 0;
    *n = 0;
    for (size_t b = from; b < to; b++) {
        if (!p->settled[b] || isnan(p->reading[of][b]) || isnan(p->reading[over][b]) ||
            (all && (isnan(p->reading[NR_OUT_STORE][b]) || isnan(p->reading[NR_OUT_OUTLET][b]) ||
                     isnan(p->reading[NR_OUT_INLET][b]))))
            continue;
        sum += p->reading[of][b] - p->reading[over][b];
        *n += 1;
    }
    return sum / *n;
}

static double stated(double u, double otherwise)
{
    return isnan(u) ? otherwise : u;
}

/* Whether it is there, at the run's and the piece's place, and what it says. */
static void is_said(const looked_at *l, nr_misfit_kind kind, bool can, double strength, double size,
                    double u)
{
    const nr_misfit_finding *f = found(l, kind, NR_OUT_INLET);
    ck_assert_msg((f != NULL) == (can && strength >= 1), "kind %d, %d: %g", (int)kind, can,
                  strength);
    if (!f)
        return;
    NEAR_RELATIVE(f->strength, strength, 1e-9);
    NEAR(f->size, size, 1e-9);
    NEAR_RELATIVE(f->u, u, 1e-9);
    ck_assert(isnan(f->at_s) && isnan(f->until_s) && f->run == l->s.view.run);
}

/* They stand apart: in each half ten readings, by more than four times what probes are off (0.3 K
 * unstated) and a tenth of the rise over the loop. They part: from the first third to the last, by
 * more than a tenth of what that rise changed, and by four times of what they drift (makers' 0.2 K,
 * rectangular) and of what good readings wander (0.03 K and 0.4 % of the rise, each end). */
START_TEST(inlet_and_container)
{
    static looked_at l;
    unsigned long long s = 17;
    nr_err err;
    int said[2] = {0};
    open_it(&l, true);
    for (int number = 0; number < 150; number++) {
        draw_readings(&l, &s);
        size_t B = l.s.blocks;
        double n[4], first = mean_apart(&l, NR_OUT_INLET, NR_OUT_STORE, false, 0, (B + 1) / 2, n);
        double second = mean_apart(&l, NR_OUT_INLET, NR_OUT_STORE, false, (B + 1) / 2, B, n + 1);
        double level = (first + second) / 2;
        double u =
            sqrt(pow(stated(channel(&l, "inlet")->u_offset, 0.3), 2) +
                 pow(stated(channel(&l, "store")->u_offset, 0.3), 2) + pow(0.1 * l.s.rise_K, 2));
        l.out.count = 0;
        ck_assert(nr_misfit_balance(&l.s, &err) == NR_OK);
        is_said(&l, NR_MISFIT_INLET_STORE, n[0] >= 10 && n[1] >= 10, fabs(level) / u / 4, level, u);
        said[0] += found(&l, NR_MISFIT_INLET_STORE, NR_OUT_INLET) != NULL;
        double by = mean_apart(&l, NR_OUT_INLET, NR_OUT_STORE, true, 2 * B / 3, B, n + 1) -
                    mean_apart(&l, NR_OUT_INLET, NR_OUT_STORE, true, 0, B / 3, n);
        double rise = mean_apart(&l, NR_OUT_OUTLET, NR_OUT_INLET, true, 2 * B / 3, B, n + 3) -
                      mean_apart(&l, NR_OUT_OUTLET, NR_OUT_INLET, true, 0, B / 3, n + 2);
        double usual = round(1000 * 0.2 / sqrt(3)) / 1000;
        double wander = 2 * (0.03 * 0.03 + pow(0.004 * l.s.store_rise_K, 2));
        u = sqrt(pow(stated(channel(&l, "inlet")->u_drift, usual), 2) +
                 pow(stated(channel(&l, "store")->u_drift, usual), 2) + wander);
        double past = fmax(fabs(by) - 0.1 * fabs(rise), 0);
        /* Half of it is an error of the rise, half of whose efficiency's u is worth a word. */
        double matters = past / l.s.rise_K / l.scale.efficiency_u;
        said[1] += found(&l, NR_MISFIT_INLET_LEAVES, NR_OUT_INLET) != NULL;
        is_said(&l, NR_MISFIT_INLET_LEAVES, n[0] >= 10 && n[1] >= 10, fmin(past / u / 4, matters),
                by, u);
    }
    ck_assert(said[0] > 20 && said[0] < 130 && said[1] > 20 && said[1] < 130);
    close_it(&l);
}
END_TEST

/* Thirty settled readings of the container make a balance. */
START_TEST(readings_for_a_balance)
{
    static looked_at l;
    unsigned long long s = 18;
    nr_err err;
    open_it(&l, true);
    for (size_t rows = 29; rows <= 30; rows++) {
        draw_readings(&l, &s);
        l.scale.efficiency_u = 1e-6;
        size_t n = 0;
        for (size_t b = 0; b < l.s.blocks; b++) {
            l.s.view.part->settled[b] = n < rows;
            n += n < rows && !isnan(l.s.view.part->reading[NR_OUT_STORE][b]);
        }
        l.out.count = 0;
        ck_assert(nr_misfit_balance(&l.s, &err) == NR_OK);
        ck_assert_msg((found(&l, NR_MISFIT_LOOP_STORE, NR_OUT_STORE) != NULL) == (rows == 30),
                      "%zu rows", rows);
    }
    close_it(&l);
}
END_TEST

static void look(looked_at *l)
{
    nr_err err;
    l->out.count = 0;
    ck_assert(nr_misfit_inlet(&l->s, &err) == NR_OK && nr_misfit_balance(&l->s, &err) == NR_OK);
}

/* Each asks for the channels that it compares, a meter or a rise over the loop; and a step for two
 * blocks on either side of it. */
START_TEST(channels_that_are_missing)
{
    static looked_at l;
    unsigned long long s = 19;
    open_it(&l, true);
    do {
        draw_step(&l, &s);
        l.scale.efficiency_u = 1e-6;
        for (size_t b = 0; b < l.s.blocks; b++) /* and a level, and one that parts */
            l.s.view.part->reading[NR_OUT_INLET][b] += 30 + 0.2 * (double)b;
        look(&l);
    } while (l.out.count < 4);
    for (int c = 0; c < NR_OUTS; c++) {
        double **reading = &l.series->part[0].reading[c], *was = *reading;
        *reading = NULL;
        look(&l);
        ck_assert_uint_eq(l.out.count, c == NR_OUT_OUTLET);
        ck_assert((found(&l, NR_MISFIT_INLET_STORE, NR_OUT_INLET) != NULL) == (c == NR_OUT_OUTLET));
        *reading = was;
    }
    l.series->flow_known = false;
    look(&l);
    ck_assert(l.out.count == 2 && found(&l, NR_MISFIT_INLET_STEP, NR_OUT_INLET));
    l.series->flow_known = true;
    l.s.rise_K = NAN;
    look(&l);
    ck_assert(!found(&l, NR_MISFIT_INLET_STEP, NR_OUT_INLET) &&
              !found(&l, NR_MISFIT_INLET_LEAVES, NR_OUT_INLET));
    l.s.rise_K = 3;
    for (int shorter = 0; shorter < 2; shorter++) {
        nr_err err;
        l.series->block_s = shorter ? 150 : 151;
        const nr_part *p = l.s.view.part;
        for (size_t b = 0; b < l.s.blocks; b++) { /* one step and nothing else */
            p->reading[NR_OUT_STORE][b] = 30;
            p->reading[NR_OUT_INLET][b] = b < l.s.blocks / 2 ? 30 : 35;
            p->reading[NR_OUT_OUTLET][b] = p->reading[NR_OUT_INLET][b] + 5;
            p->settled[b] = 1;
        }
        l.out.count = 0;
        ck_assert(nr_misfit_inlet(&l.s, &err) == NR_OK);
        ck_assert((found(&l, NR_MISFIT_INLET_STEP, NR_OUT_INLET) != NULL) == shorter);
    }
    close_it(&l);
}
END_TEST

/* ---- what was stated ---- */

/* Departures that the record told, each against odds of one in 200 shared out (half of them the
 * water's), and all together by a scaled chi-squared of the same mean and variance. */
START_TEST(priors_that_are_pulled)
{
    static looked_at l;
    static size_t which[200];
    open_it(&l, true);
    nr_err err;
    size_t n = 0;
    double ignored[2];
    (void)nr_scorer_rest(l.s.scorer, 0, 0, &ignored[0], &ignored[1]);
    for (size_t i = 0; i < nr_joint_parameters(l.joint); i++) { /* some of them far */
        double u = nr_joint_parameter(l.joint, i).prior_u;
        l.s.scorer->rest[i] += isfinite(u) ? (i % 2 ? -3 : 4) * u : 0;
    }
    for (size_t i = 0; i < nr_joint_parameters(l.joint); i++) {
        nr_parameter_view p = nr_joint_parameter(l.joint, i);
        double value, variance;
        ck_assert(nr_scorer_rest(l.s.scorer, i, i, &value, &variance));
        bool air = p.term == NR_TERM_AIR_OFFSET || p.term == NR_TERM_SUN_ON_AIR;
        if (!p.has_prior || !nr_term_surprises(p.term) ||
            1 - variance / (p.prior_u * p.prior_u) <= 0.005)
            continue;
        if (!air || value < p.prior || nr_joint_index(l.joint, 0, NR_TERM_SKY) >= 0)
            which[n++] = i;
    }
    ck_assert_uint_ge(n, 3);
    ck_assert(nr_misfit_priors(&l.s, 0, &err) == NR_OK);
    double sum = 0, trace = 0, squares = 0;
    size_t seen = 0;
    for (size_t a = 0; a < n; a++) {
        nr_parameter_view p = nr_joint_parameter(l.joint, which[a]);
        double value, variance, limit = 0, high = 10, other;
        nr_scorer_rest(l.s.scorer, which[a], which[a], &value, &variance);
        double told = 1 - variance / (p.prior_u * p.prior_u), by = (value - p.prior) / p.prior_u;
        double odds = 0.005 * (p.term == NR_TERM_WATER ? 0.5 : 0.5 / (double)(n - 1));
        while (high - limit > 1e-12) /* the normal quantile by halving */
            *(beyond((limit + high) / 2) > odds ? &limit : &high) = (limit + high) / 2;
        double strength = fabs(by) / sqrt(told) / (1.15 * limit);
        const nr_misfit_finding *f = found(&l, NR_MISFIT_PRIOR, (int)p.term);
        ck_assert_msg((strength >= 1) == (f != NULL), "%s: %g", p.label, strength);
        if (f) {
            seen++;
            NEAR_RELATIVE(f->strength, strength, 1e-6);
            NEAR_RELATIVE(f->size, by / sqrt(told), 1e-9);
            ck_assert_uint_eq(f->parameter, which[a]);
        }
        sum += by * by;
        trace += told;
        for (size_t b = 0; b < n; b++) {
            nr_parameter_view q = nr_joint_parameter(l.joint, which[b]);
            nr_scorer_rest(l.s.scorer, which[a], which[b], &other, &variance);
            squares += pow((a == b) - variance / (p.prior_u * q.prior_u), 2);
        }
    }
    const nr_misfit_finding *all = found(&l, NR_MISFIT_PRIORS, -1);
    ck_assert_uint_ge(seen, 1);
    ck_assert_ptr_nonnull(all);
    {
        NEAR_RELATIVE(all->size, sum / trace, 1e-9);
        /* The chi-squared quantile by the cube root (E. Wilson and M. Hilferty, Proc. Nat. Acad.
         * Sci. 17 (1931) 684-688): a hundredth. */
        double df = trace * trace / squares, z = 2.5758293,
               cube = 1 - 2 / (9 * df) + z * sqrt(2 / (9 * df));
        NEAR_RELATIVE(all->strength,
                      sum / (1.15 * 1.15 * squares / trace * df * cube * cube * cube), 0.03);
    }
    close_it(&l);
}
END_TEST

static void open_scorer_again(looked_at *l)
{
    nr_err err;
    nr_scorer_free(l->s.scorer);
    l->s.scorer = NULL;
    ck_assert(nr_scorer_open(l->joint, &l->s.scorer, &err) == NR_OK);
}

/* What a prior was widened by because the record contradicts it does not take the contradiction
 * away: the same record under a wider prior for the water, held against what is stated of it, is
 * pulled as under the prior as stated. Linear about one solution, so equal. */
START_TEST(a_widened_prior_is_pulled_as_stated)
{
    static looked_at l;
    nr_err err;
    open_it(&l, true);
    int water = nr_joint_index(l.joint, 0, NR_TERM_WATER);
    ck_assert_int_ge(water, 0);
    nr_parameter *p = &l.joint->parameter[water];
    p->prior -= 0.3; /* a third less is stated than there is */
    open_scorer_again(&l);
    ck_assert(nr_misfit_priors(&l.s, 0, &err) == NR_OK);
    const nr_misfit_finding *f = found(&l, NR_MISFIT_PRIORS, -1);
    ck_assert_ptr_nonnull(f);
    nr_misfit_finding whole = *f;
    ck_assert_ptr_nonnull(f = found(&l, NR_MISFIT_PRIOR, NR_TERM_WATER));
    nr_misfit_finding alone = *f;
    size_t count = l.out.count;
    l.out.count = 0;
    p->prior_u = 12 * p->said_u;
    open_scorer_again(&l);
    ck_assert(nr_misfit_priors(&l.s, 0, &err) == NR_OK);
    ck_assert_uint_eq(l.out.count, count);
    ck_assert_ptr_nonnull(f = found(&l, NR_MISFIT_PRIORS, -1));
    NEAR_RELATIVE(f->size, whole.size, 1e-6);
    NEAR_RELATIVE(f->strength, whole.strength, 1e-6);
    ck_assert_ptr_nonnull(f = found(&l, NR_MISFIT_PRIOR, NR_TERM_WATER));
    NEAR_RELATIVE(f->size, alone.size, 1e-6);
    NEAR_RELATIVE(f->strength, alone.strength, 1e-6);
    p->prior_u = p->said_u;
    close_it(&l);
}
END_TEST

/* The course of the sun's readings against a cloudless sky's and against the collector: the mean
 * weighted by both variances. */
START_TEST(two_witnesses_of_the_sun)
{
    static looked_at l;
    open_it(&l, true);
    nr_err err;
    double *shape = nr_misfit_gain_shapes(&l.s), gain, gain_u;
    ck_assert(nr_misfit_allow(&l.s, shape, &err) == NR_OK);
    nr_misfit_gain_drift(&l.s, &gain, &gain_u);
    double hours = (double)l.s.blocks * l.series->block_s / 3600;
    l.series->sky_course_per_h = 0.3;
    l.series->sky_course_u_per_h = 0.02;
    double v[2] = {pow(0.02 * hours, 2), gain_u * gain_u};
    double size = (0.3 * hours * v[1] - gain * v[0]) / (v[0] + v[1]),
           u = sqrt(v[0] * v[1] / (v[0] + v[1]));
    nr_misfit_sky(&l.s);
    const nr_misfit_finding *f = found(&l, NR_MISFIT_SUN_COURSE, -1);
    ck_assert(f != NULL);
    NEAR_RELATIVE(f->size, size, 1e-9);
    NEAR_RELATIVE(f->u, u, 1e-9);
    NEAR_RELATIVE(f->strength, fabs(size) / u / nr_misfit_limit(1), 1e-9);
    for (int more = 0; more < 2; more++) {
        l.scale.efficiency_u = fabs(size) / (more ? 1.001 : 0.999);
        l.out.count = 0;
        nr_misfit_sky(&l.s);
        ck_assert((found(&l, NR_MISFIT_SUN_COURSE, -1) != NULL) == more);
    }
    l.series->sky_course_u_per_h = INFINITY;
    l.out.count = 0;
    nr_misfit_sky(&l.s);
    ck_assert_uint_eq(l.out.count, 0);
    free(shape);
    close_it(&l);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {inlet_minute_by_minute,   drawn_steps_of_the_inlet,
                                  loop_against_container,   inlet_and_container,
                                  readings_for_a_balance,   channels_that_are_missing,
                                  priors_that_are_pulled,   a_widened_prior_is_pulled_as_stated,
                                  two_witnesses_of_the_sun, NULL};
    return run_tests("misfit, readings", tests);
}
