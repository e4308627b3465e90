/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a fit says of its records block by block, worked out a second time from the series: sums,
 * ranges, energies, and regressions by normal equations. */
#include "tests/unit/fit/worked.h"

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Two of a hundred are left out at each end. */
static void range_is(double *v, size_t n, const double range[2], double scale)
{
    qsort(v, n, sizeof *v, ascending);
    size_t out = n / 50;
    NEAR(range[0], v[out] * scale, 1e-9);
    NEAR(range[1], v[n - out - 1] * scale, 1e-9);
}

static const double *modelled(const nr_fit_run *r, const char *name)
{
    for (size_t c = 0; c < r->channels; c++)
        if (!strcmp(r->channel[c].name, name))
            return r->channel[c].modelled;
    return NULL;
}

static void blocks_of(const worked *w, int kind)
{
    static const char *const name[NR_OUTS] = {"store", "inlet", "outlet"};
    const nr_fit_run *r = &w->fit->run[0];
    const nr_series *s = w->series;
    const nr_rig *rig = &w->run->run.rig;
    double highest = 0, squares_of_all = 0;
    size_t at = 0, used_of_all = 0, n = 0;
    static double dT[MOST], bright[MOST];
    static bool counts[MOST];
    memset(counts, 0, sizeof counts);
    ck_assert_uint_eq(w->fit->runs, 1);
    ck_assert_uint_eq(r->rows, s->rows);
    NEAR(r->duration_s, s->duration_s, 0);
    NEAR(r->block_s, s->block_s, 0);
    NEAR(r->latitude_deg, rig->latitude_deg.value, 0);
    NEAR(r->longitude_deg, rig->longitude_deg.value, 0);
    NEAR(r->start_utc_s, w->run->run.readings->utc_s[0], 0);
    ck_assert_str_eq(r->title, rig->title);
    ck_assert_str_eq(w->fit->collector_name, rig->collector.name);
    NEAR(w->fit->gross_area_m2, rig->collector.gross_area_m2.value, 0);
    for (size_t c = 0; c < r->channels; c++) {
        const nr_fit_channel *ch = &r->channel[c];
        size_t used = 0, left_out = 0, outliers = 0;
        double squares = 0, white = 0, neighbours = 0, before = NAN, ar1 = NAN;
        int out = 0;
        while (strcmp(ch->name, name[out]))
            out++;
        at = 0;
        for (size_t i = 0; i < nr_joint_pieces(w->joint); i++) {
            nr_piece_view p = nr_joint_piece(w->joint, i);
            nr_channel_view left = {.raw_K = NULL};
            bool fits = nr_joint_channel(w->joint, i, out, &left);
            const double *model = fits ? nr_joint_modelled(w->joint, i, out) : NULL;
            for (size_t b = 0; b < p.part->blocks; b++) {
                double reading = p.part->reading[out][b];
                bool enters = fits && !isnan(left.raw_K[b]);
                ck_assert(isnan(reading)
                              ? isnan(ch->measured[at + b])
                              : ch->measured[at + b] <= reading && ch->measured[at + b] >= reading);
                if (model)
                    NEAR(ch->modelled[at + b],
                         nr_joint_shown(w->joint, i, out, nr_joint_x(w->joint), model[b]), 1e-9);
                ck_assert(enters == !isnan(ch->residual[at + b]));
                if (enters) {
                    /* The estimate knows of the probe's drift about its middle, too. */
                    double half = ((double)b + 0.5) / (double)p.part->blocks - 0.5;
                    double drifts = out == NR_OUT_INLET
                                        ? 0
                                        : half * nr_joint_term(w->joint, i,
                                                               (nr_term)(NR_TERM_DRIFT_STORE -
                                                                         (out == NR_OUT_OUTLET)),
                                                               nr_joint_x(w->joint));
                    NEAR(ch->residual[at + b] - drifts, left.raw_K[b], 1e-9);
                    squares += ch->residual[at + b] * ch->residual[at + b];
                    counts[at + b] = true;
                }
                if (fits && !isnan(left.whitened[b])) {
                    double e = left.whitened[b];
                    neighbours += isnan(before) ? 0 : e * before;
                    white += e * e;
                    outliers += e > 4 || e < -4;
                    before = e;
                }
                used += enters;
                left_out += !enters && !isnan(reading);
            }
            at += p.part->blocks;
            /* Yule and Walker's first equation: a1/(1 - a2), a1 = phi + phi2, a2 = -phi phi2. */
            double one =
                (left.noise.phi + left.noise.phi2) / (1 + left.noise.phi * left.noise.phi2);
            ar1 = fits ? left.noise.slow * one : ar1;
        }
        ck_assert_uint_eq(at, r->blocks);
        ck_assert_uint_eq(ch->used, used);
        ck_assert_uint_eq(ch->left_out, left_out);
        ck_assert_uint_eq(ch->outliers, outliers);
        if (used == 0) {
            ck_assert(isnan(ch->rms_K) && isnan(ch->whiteness));
            continue;
        }
        NEAR_RELATIVE(ch->rms_K, sqrt(squares / (double)used), 1e-9);
        NEAR(ch->whiteness, neighbours / white, 1e-12);
        NEAR(ch->ar1, ar1, 1e-12);
        squares_of_all += squares;
        used_of_all += used;
    }
    NEAR_RELATIVE(w->fit->residual_rms_K, sqrt(squares_of_all / (double)used_of_all), 1e-9);
    for (size_t b = n = 0; b < r->blocks; b++)
        n += counts[b];
    NEAR(r->used_s, fmin((double)n * s->block_s, s->duration_s), 1e-9);
    for (size_t b = 0; b < r->blocks; b++)
        highest = r->sun_W_m2[b] > highest ? r->sun_W_m2[b] : highest;
    at = n = 0;
    for (size_t i = 0; i < s->parts; i++)
        for (size_t b = 0; b < s->part[i].blocks; b++, at++) {
            const nr_part *p = &s->part[i];
            NEAR(r->t_s[at], p->start_s + ((double)b + 0.5) * s->block_s, 1e-9);
            NEAR(r->sun_W_m2[at], mean_of_steps(s, p->sun_W_m2, b), 1e-9);
            NEAR(r->air_degC[at], mean_of_steps(s, p->air_degC, b), 1e-9);
            ck_assert(r->pump_on[at] == (p->pump_on[b] != 0) &&
                      r->bright[at] == (p->bright[b] != 0));
            if (!r->pump_on[at] || !r->bright[at] || r->sun_W_m2[at] < 0.4 * highest)
                continue;
            /* Mean of inlet and outlet; of the store alone, the store for the inlet. */
            double T = kind == LOOP ? (modelled(r, "inlet")[at] + modelled(r, "outlet")[at]) / 2
                                    : modelled(r, "store")[at];
            bright[n] = r->sun_W_m2[at];
            dT[n++] = T - r->air_degC[at];
        }
    range_is(dT, n, w->fit->dT_range, 1);
    range_is(dT, n, w->fit->x_range, 1 / w->fit->mean_sun_W_m2);
    range_is(bright, n, w->fit->sun_range, 1);
}

/* The temperature over the air that was tested, by what was measured: between inlet and outlet;
 * without the outlet, half of what the water took up on its way over the inlet; the container, if
 * nothing else. */
static void ranges_of(worked *w)
{
    static double dT[MOST], bright[MOST];
    double *reading[8][NR_OUTS];
    nr_err err = {.text = ""};
    ck_assert_uint_le(w->series->parts, 8);
    for (int hidden = 0; hidden < 3; hidden++)
        for (int mean = 0; mean < 2; mean++) {
            nr_fit *f = calloc(1, sizeof *f);
            f->reference = mean ? NR_REFERENCE_MEAN : NR_REFERENCE_INLET;
            f->mean_flow_L_min = 1.3;
            f->mean_sun_W_m2 = 640;
            for (size_t i = 0; i < w->series->parts; i++) {
                double **of = w->series->part[i].reading;
                memcpy(reading[i], of, sizeof reading[i]);
                of[NR_OUT_OUTLET] = hidden > 0 ? NULL : of[NR_OUT_OUTLET];
                of[NR_OUT_INLET] = hidden > 1 ? NULL : of[NR_OUT_INLET];
            }
            ck_assert(nr_derive_runs(w->joint, 0, f, &err) == NR_OK);
            for (size_t i = 0; i < w->series->parts; i++)
                memcpy(w->series->part[i].reading, reading[i], sizeof reading[i]);
            const nr_fit_run *r = &f->run[0];
            ck_assert_uint_eq(r->channels, (size_t)(3 - hidden));
            double highest = 0;
            size_t n = 0;
            for (size_t b = 0; b < r->blocks; b++)
                highest = fmax(highest, r->sun_W_m2[b]);
            for (size_t b = 0; b < r->blocks; b++) {
                if (!r->pump_on[b] || !r->bright[b] || r->sun_W_m2[b] < 0.4 * highest)
                    continue;
                double t = modelled(r, hidden > 1 ? "store" : "inlet")[b];
                double kg_s = 1.3 / 60 * nr_water_density_kg_m3(t) / 1000;
                double over = hidden ? r->to_water_W[b] / (kg_s * nr_water_cp_J_kgK(t))
                                     : modelled(r, "outlet")[b] - t;
                bright[n] = r->sun_W_m2[b];
                dT[n++] = t + (mean ? over / 2 : 0) - r->air_degC[b];
            }
            range_is(dT, n, f->dT_range, 1);
            range_is(dT, n, f->x_range, 1.0 / 640);
            range_is(bright, n, f->sun_range, 1);
            nr_fit_free(f);
        }
}

/* ---- energy ---- */

static void energy_of(const worked *w)
{
    const nr_series *s = w->series;
    const nr_fit *f = w->fit;
    double counted = 0, sun = 0, had = 0, water = 0, pump = 0, noise = 0;
    for (size_t i = 0; i < nr_joint_pieces(w->joint); i++) {
        const nr_part *p = nr_joint_piece(w->joint, i).part;
        size_t first = SIZE_MAX, end = 0, running = 0;
        for (size_t b = 0; b < p->blocks; b++)
            if (p->pump_on[b] && mean_of_steps(s, p->sun_W_m2, b) >= s->max_sun_W_m2 / 10) {
                first = first == SIZE_MAX ? b : first;
                end = b + 1;
            }
        ck_assert(first < end);
        for (size_t b = first; b < end; b++) {
            running += p->pump_on[b] != 0;
            sun += mean_of_steps(s, p->sun_W_m2, b) * s->block_s;
        }
        nr_loop_params q = nr_joint_params(w->joint, i, nr_joint_x(w->joint));
        double seconds = (double)(end - first) * s->block_s, middle = 0;
        for (size_t b = first; b < end; b++)
            had += q.area_m2 / (1 + q.sun_gain) *
                   (mean_of_steps(s, p->sun_W_m2, b) - q.sun_offset_W_m2) * s->block_s;
        counted += seconds;
        pump += q.pump_W * (double)running * s->block_s;
        middle = (double)(first + end) / (2 * (double)p->blocks);
        nr_channel_view left;
        ck_assert(nr_joint_channel(w->joint, i, NR_OUT_STORE, &left));
        /* Rise: measured at both ends where the model says no other, six readings each. */
        const double *model = nr_joint_modelled(w->joint, i, NR_OUT_STORE);
        double gain = nr_joint_term(w->joint, i, NR_TERM_GAIN_STORE, nr_joint_x(w->joint));
        double drift = nr_joint_term(w->joint, i, NR_TERM_DRIFT_STORE, nr_joint_x(w->joint));
        double off[2] = {0}, rise[2] = {0};
        for (int last = 0; last < 2; last++) {
            int n = 0;
            for (size_t k = 0; k < end - first && n < 6; k++) {
                size_t b = last ? end - 1 - k : first + k;
                if (isnan(p->reading[NR_OUT_STORE][b]))
                    continue;
                off[last] += (p->reading[NR_OUT_STORE][b] - model[b]) / 6;
                n++;
            }
            ck_assert_int_eq(n, 6);
            /* The edge of the window by the block means beside it: half a block further. */
            size_t b = last ? end - 1 : first, in = last ? b - 1 : b + 1;
            rise[last] = model[b] + (model[b] - model[in]) / 2;
        }
        double dT = rise[1] - rise[0] + off[1] - off[0] -
                    drift * seconds / ((double)p->blocks * s->block_s);
        water += (q.store_J_K - middle * q.lost_J_K) * dT / (1 + gain);
        noise += 2 * pow(q.store_J_K * left.noise.sigma, 2);
    }
    NEAR(f->counted_s, counted, 1e-6);
    NEAR_RELATIVE(f->sun_J, sun * f->gross_area_m2, 1e-9);
    NEAR(f->pump_J, pump, 1e-6 * fabs(pump));
    NEAR_RELATIVE(f->water_J, water, 2e-3); /* a rise of some kelvin, edges to some millikelvin */
    NEAR_RELATIVE(f->run_efficiency.value, (f->water_J - f->pump_J) / had, 1e-9);
    ck_assert(pump > 0);
    /* The noise of the ends is in u_random, on top of what the estimate says. */
    nr_derive_energy e;
    double *g = calloc(nr_joint_parameters(w->joint), sizeof *g), random;
    ck_assert(nr_derive_energy_open(w->joint, 0, &e));
    gradient_of(w->joint, nr_derive_kept_over_sun, &e, g);
    double u = u_by_hand(w->joint, g, &random), ends = sqrt(noise) / f->sun_J;
    NEAR_RELATIVE(f->run_efficiency.u, hypot(u, ends), 1e-4);
    NEAR_RELATIVE(f->run_efficiency.u_random, hypot(random, ends), 2e-3);
    nr_derive_energy_close(&e);
    free(g);
}

/* ---- regressions ---- */

/* Least squares by normal equations with Cramer's rule; u from the residuals. */
static void line_through(const double (*row)[3], const double *y, size_t n, int p, double *beta,
                         double *u)
{
    double a[3][3] = {{0}}, inverse[3][3] = {{0}}, b[3] = {0}, left = 0, scale[3];
    for (size_t i = 0; i < n; i++)
        for (int r = 0; r < p; r++) {
            b[r] += row[i][r] * y[i];
            for (int c = 0; c < p; c++)
                a[r][c] += row[i][r] * row[i][c];
        }
    for (int r = 0; r < p; r++)
        scale[r] = sqrt(a[r][r]);
    for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++)
            a[r][c] = r < p && c < p ? a[r][c] / scale[r] / scale[c] : r == c;
    double det = a[0][0] * (a[1][1] * a[2][2] - a[1][2] * a[2][1]) -
                 a[0][1] * (a[1][0] * a[2][2] - a[1][2] * a[2][0]) +
                 a[0][2] * (a[1][0] * a[2][1] - a[1][1] * a[2][0]);
    for (int r = 0; r < p; r++)
        for (int c = 0; c < p; c++) {
            int r1 = (r + 1) % 3, r2 = (r + 2) % 3, c1 = (c + 1) % 3, c2 = (c + 2) % 3;
            inverse[c][r] =
                (a[r1][c1] * a[r2][c2] - a[r1][c2] * a[r2][c1]) / det / scale[r] / scale[c];
        }
    for (int r = 0; r < p; r++) {
        beta[r] = 0;
        for (int c = 0; c < p; c++)
            beta[r] += inverse[r][c] * b[c];
    }
    for (size_t i = 0; i < n; i++) {
        double e = y[i];
        for (int c = 0; c < p; c++)
            e -= beta[c] * row[i][c];
        left += e * e;
    }
    for (int r = 0; r < p; r++)
        u[r] = sqrt(inverse[r][r] * left / (double)(n - (size_t)p));
}

/* Student's t for 95 %, two-sided, by the expansion of the normal quantile (Abramowitz and Stegun
 * 26.7.5): to 1e-3 from six degrees of freedom on. */
static double student(double dof)
{
    double z = 1.959963984540054, z3 = z * z * z, z5 = z3 * z * z, z7 = z5 * z * z;
    return z + (z3 + z) / 4 / dof + (5 * z5 + 16 * z3 + 3 * z) / 96 / dof / dof +
           (3 * z7 + 19 * z5 + 17 * z3 - 15 * z) / 384 / dof / dof / dof;
}

static void means_of(const worked *w)
{
    const nr_series *s = w->series;
    const nr_means *m = &w->fit->means;
    static double row[MOST][3], gain[MOST];
    size_t count = 0, n = (size_t)lround(600 / s->block_s);
    double area = w->fit->gross_area_m2, beta[3], u[3];
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *p = &s->part[i];
        for (size_t from = 0; from + n <= p->blocks; from += n) {
            double q = 0, sun = 0, over = 0, tT = 0, tt = 0;
            bool good = true;
            for (size_t b = from; b < from + n; b++) {
                double in = p->reading[NR_OUT_INLET][b], out = p->reading[NR_OUT_OUTLET][b];
                double T = 0.5 * in + 0.5 * out, g = mean_of_steps(s, p->sun_W_m2, b);
                double t = ((double)b - (double)from - ((double)n - 1) / 2) * s->block_s;
                good = good && p->settled[b] && p->bright[b] && g > 200 && !isnan(T) &&
                       !isnan(p->flow_L_min[b]);
                q += p->flow_L_min[b] / 60 * nr_water_density_kg_m3(in) / 1000 *
                     nr_water_cp_J_kgK(T) * (out - in) / (double)n;
                sun += g / (double)n;
                over += (T - mean_of_steps(s, p->air_degC, b)) / (double)n;
                tT += t * T;
                tt += t * t;
            }
            if (!good)
                continue;
            row[count][0] = sun;
            row[count][1] = -over;
            row[count][2] = -tT / tt;
            gain[count++] = q / area;
        }
    }
    ck_assert(count >= 6 && m->known);
    line_through((const double(*)[3])row, gain, count, 3, beta, u);
    bool told = u[2] < 0.3 * beta[2];
    ck_assert(m->a5_held == !told);
    if (!told) {
        for (size_t i = 0; i < count; i++)
            gain[i] -= w->fit->a5.value * row[i][2];
        line_through((const double(*)[3])row, gain, count, 2, beta, u);
    }
    ck_assert_uint_eq(m->windows, count);
    NEAR_RELATIVE(m->eta0.value, beta[0], 1e-6);
    NEAR(m->a1.value, beta[1], 1e-5 * fabs(beta[1]));
    NEAR_RELATIVE(m->eta0.u_random, u[0], 1e-5);
    NEAR_RELATIVE(m->a1.u_random, u[1], 1e-5);
    NEAR(m->eta0.u_systematic, w->fit->eta0.u_systematic, 1e-12);
    NEAR(m->a1.u_systematic, w->fit->a1.u_systematic, 1e-12);
    ck_assert(m->a5.known == told);
    double dof = (double)count - (told ? 3 : 2);
    NEAR_RELATIVE((m->a1.hi95 - m->a1.lo95) / 2 / m->a1.u, student(dof), 5e-3);
}

static void points_of(const worked *w)
{
    const nr_fit *f = w->fit;
    const nr_fit_run *r = &f->run[0];
    size_t n = (size_t)fmax(300 / r->block_s, 3), at = 0, seen = 0;
    for (size_t i = 0; i < nr_joint_pieces(w->joint); i++) {
        const nr_part *p = nr_joint_piece(w->joint, i).part;
        nr_loop_params q = nr_joint_params(w->joint, i, nr_joint_x(w->joint));
        nr_channel_view left;
        ck_assert(nr_joint_channel(w->joint, i, NR_OUT_STORE, &left));
        for (size_t b = 0; b + n <= p->blocks; b += n) {
            double sun = 0, T = 0, air = 0, tT = 0, tt = 0, low = 1e9, high = 0;
            bool good = true;
            for (size_t k = at + b; k < at + b + n; k++) {
                double t = (double)(k - at - b) * r->block_s - ((double)n - 1) / 2 * r->block_s;
                good = good && r->pump_on[k];
                sun += r->sun_W_m2[k] / (double)n;
                T += r->channel[0].measured[k] / (double)n;
                air += r->air_degC[k] / (double)n;
                tT += t * r->channel[0].measured[k];
                tt += t * t;
                low = fmin(low, r->sun_W_m2[k]);
                high = fmax(high, r->sun_W_m2[k]);
            }
            if (!good || isnan(T) || low < 0.85 * sun || high > 1.15 * sun || sun < 100)
                continue;
            double rate = tT / tt,
                   gain = (q.store_J_K * rate + q.store_loss_W_K * (T - air)) / q.area_m2;
            const nr_point *x = &f->point[seen++];
            ck_assert_uint_le(seen, f->points);
            NEAR(x->x, (T - air) / sun, 1e-9);
            NEAR(x->eta, (gain + f->a5.value * rate) / sun, 1e-9);
            NEAR(x->t_s, (r->t_s[at + b] + r->t_s[at + b + n - 1]) / 2, 1e-6);
            double u_rate = left.noise.sigma /
                            sqrt((double)n * r->block_s * r->block_s * (double)n * (double)n / 12);
            double u = sqrt(pow(q.store_J_K * u_rate / q.area_m2 / sun, 2) +
                            pow(f->a5.u * rate / sun, 2) + pow(f->eta0.u_systematic, 2));
            NEAR_RELATIVE(x->u, u, 1e-6);
            ck_assert(!x->steady && x->run == 0);
        }
        at += p->blocks;
    }
    ck_assert_uint_eq(seen, f->points);
    ck_assert_uint_ge(seen, 6);
}

static size_t points_now(const worked *w)
{
    nr_fit f = *w->fit;
    nr_err err = {.text = ""};
    f.point = NULL;
    f.points = 0;
    ck_assert(nr_derive_points(w->joint, 0, &f, &err) == NR_OK);
    free(f.point);
    return f.points;
}

/* A point of the container takes a sun that stays within 15 % of its mean, of 100 W/m2 at least,
 * and a pump that runs. */
static void sun_of_a_point(const worked *w)
{
    static const struct {
        double mean, share;
        bool counts;
    } of[] = {{500, 0.851, true},  {500, 0.849, false}, {500, 1.149, true},
              {500, 1.151, false}, {100.1, 1, true},    {99.9, 1, false}};
    const nr_fit_run *r = &w->fit->run[0];
    size_t n = (size_t)fmax(300 / r->block_s, 3), all = points_now(w), at = 0;
    double sun[64];
    ck_assert_uint_eq(all, w->fit->points);
    ck_assert_uint_le(n, 64);
    while (fabs(w->fit->point[0].t_s - r->t_s[at] - (double)(n - 1) / 2 * r->block_s) > 1)
        at += n;
    memcpy(sun, r->sun_W_m2 + at, n * sizeof *sun);
    for (size_t i = 0; i < sizeof of / sizeof of[0]; i++)
        for (size_t odd = 0; odd < n; odd += n - 1) { /* one that is off, and all together */
            double others = ((double)n - of[i].share) / (double)(n - 1);
            for (size_t k = 0; k < n; k++)
                r->sun_W_m2[at + k] = of[i].mean * (k == odd ? of[i].share : others);
            ck_assert_msg(points_now(w) == all - !of[i].counts, "row %zu", i);
        }
    memcpy(r->sun_W_m2 + at, sun, n * sizeof *sun);
    r->pump_on[at + n - 1] = false;
    ck_assert_uint_eq(points_now(w), all - 1);
    r->pump_on[at + n - 1] = true;
}

static void classical_of(const worked *w)
{
    const nr_fit *f = w->fit;
    static double row[MOST][3], eta[MOST];
    double beta[3], u[3];
    size_t steady = 0, n = 0;
    for (size_t i = 0; i < f->points; i++)
        steady += f->point[i].steady;
    for (size_t i = 0; i < f->points; i++) {
        if (steady >= 6 && !f->point[i].steady)
            continue;
        row[n][0] = 1;
        row[n][1] = -f->point[i].x;
        eta[n++] = f->point[i].eta;
    }
    ck_assert(f->classical.known == (n >= 4));
    ck_assert_uint_eq(f->classical.points, n);
    ck_assert(f->classical.steady_only == (steady >= 6));
    if (n < 4)
        return;
    line_through((const double(*)[3])row, eta, n, 2, beta, u);
    NEAR_RELATIVE(f->classical.eta0.value, beta[0], 1e-9);
    NEAR_RELATIVE(f->classical.a1.value, beta[1], 1e-7);
    NEAR_RELATIVE(f->classical.eta0.u_random, u[0], 1e-7);
    NEAR_RELATIVE(f->classical.a1.u_random, u[1], 1e-7);
    NEAR(f->classical.eta0.u_systematic, f->eta0.u_systematic, 1e-12);
    NEAR(f->classical.a1.u_systematic, f->a1.u_systematic, 1e-12);
}

/* Points as they come: four make a line, and six steady ones make it by themselves. */
START_TEST(lines_of_drawn_points)
{
    static nr_point point[20];
    unsigned long long s = 11;
    int by_steady = 0, none = 0;
    for (int number = 0; number < 80; number++) {
        nr_fit f = {.point = point, .points = (size_t)(20 * chance(&s))};
        double steady = chance(&s);
        f.eta0.u_systematic = 0.01 * chance(&s);
        f.a1.u_systematic = 0.1 * chance(&s);
        for (size_t i = 0; i < f.points; i++) {
            double x = 0.08 * chance(&s), off = chance(&s) - 0.5;
            point[i] = (nr_point){.x = x, .eta = 0.75 - 6 * x + 0.02 * off};
            point[i].steady = chance(&s) < steady;
        }
        nr_derive_classical(&f);
        classical_of(&(worked){.fit = &f});
        by_steady += f.classical.steady_only;
        none += !f.classical.known;
        size_t n = f.classical.points;
        if (n >= 8) /* of so many the expansion is good to a thousandth */
            NEAR_RELATIVE((f.classical.a1.hi95 - f.classical.a1.lo95) / 2 / f.classical.a1.u,
                          student((double)n - 2), 5e-3);
    }
    ck_assert(by_steady > 10 && none > 5);
}
END_TEST

/* Six windows make means; one block that is no brighter than 200 W/m2, or does not count, or is
 * not settled, takes its window out. */
static void windows_of(const worked *w)
{
    size_t per = w->series->steps_per_block, n = (size_t)lround(600 / w->series->block_s);
    unsigned char *kept[2][8];
    nr_err err = {.text = ""};
    ck_assert_uint_le(w->series->parts, 8);
    for (size_t i = 0; i < w->series->parts; i++) {
        nr_part *p = &w->series->part[i];
        unsigned char *of[] = {p->bright, p->settled};
        for (int k = 0; k < 2; k++)
            kept[k][i] = memcpy(malloc(p->blocks), of[k], p->blocks);
    }
    size_t all = w->fit->means.windows;
    for (size_t left = all; left >= 5; left--) {
        nr_fit f = *w->fit;
        ck_assert(nr_derive_means(w->joint, 0, &f, &err) == NR_OK);
        ck_assert_msg(f.means.known == (left >= 6), "%zu windows", left);
        ck_assert_uint_eq(f.means.windows, left >= 6 ? left : 0);
        bool found = false; /* the next one that counts */
        for (size_t i = 0; i < w->series->parts && !found; i++) {
            nr_part *p = &w->series->part[i];
            for (size_t from = 0; from + n <= p->blocks && !found; from += n) {
                found = true;
                for (size_t b = from; b < from + n; b++)
                    found = found && p->bright[b] && p->settled[b] && p->sun_W_m2[b * per] > 200 &&
                            !isnan(p->reading[NR_OUT_INLET][b] + p->reading[NR_OUT_OUTLET][b]);
                if (!found)
                    continue;
                double sun[16];
                ck_assert_uint_le(per, 16);
                memcpy(sun, p->sun_W_m2 + from * per, per * sizeof *sun);
                for (int darker = 0; darker < 2; darker++) {
                    for (size_t k = 0; k < per; k++)
                        p->sun_W_m2[from * per + k] = darker ? 200 : 200.001;
                    ck_assert(nr_derive_means(w->joint, 0, &f, &err) == NR_OK);
                    size_t expected = left - (size_t)darker;
                    ck_assert_uint_eq(f.means.windows, expected >= 6 ? expected : 0);
                }
                memcpy(p->sun_W_m2 + from * per, sun, per * sizeof *sun);
                *(left % 2 ? &p->bright[from + n - 1] : &p->settled[from + n / 2]) = 0;
            }
        }
        ck_assert(found);
    }
    for (size_t i = 0; i < w->series->parts; i++)
        for (int k = 0; k < 2; k++) {
            nr_part *p = &w->series->part[i];
            memcpy(k ? p->settled : p->bright, kept[k][i], p->blocks);
            free(kept[k][i]);
        }
}

START_TEST(a_measured_loop)
{
    worked w;
    set_up(&w, LOOP);
    blocks_of(&w, LOOP);
    ranges_of(&w);
    energy_of(&w);
    means_of(&w);
    windows_of(&w);
    classical_of(&w);
    tear_down(&w);
}
END_TEST

START_TEST(the_store_alone)
{
    worked w;
    set_up(&w, STORE);
    blocks_of(&w, STORE);
    energy_of(&w);
    points_of(&w);
    sun_of_a_point(&w);
    classical_of(&w);
    tear_down(&w);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_measured_loop, the_store_alone, lines_of_drawn_points, NULL};
    return run_tests("worked out, blocks", tests);
}
