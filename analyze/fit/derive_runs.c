/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/derive.h"
#include "analyze/model/loop.h"
#include "analyze/physics/water.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The tested range leaves out this share of the time at each end: single slugs are no test. */
#define RANGE_TAIL 0.02
/* Of whitened residuals: one in sixteen thousand is beyond it by chance. */
#define OUTLIER 4.0

static const char *const channel_name[NR_OUTS] = {"store", "inlet", "outlet"};

static bool run_alloc(nr_fit_run *r)
{
    size_t n = r->blocks;
    double **arrays[] = {&r->t_s,        &r->sun_W_m2,   &r->air_degC,         &r->flow_L_min,
                         &r->absorbed_W, &r->to_water_W, &r->collector_loss_W, &r->store_loss_W};
    for (size_t i = 0; i < sizeof arrays / sizeof arrays[0]; i++)
        if (!(*arrays[i] = calloc(n, sizeof(double))))
            return false;
    for (size_t c = 0; c < r->channels; c++) {
        nr_fit_channel *ch = &r->channel[c];
        if (!(ch->measured = calloc(n, sizeof(double))) ||
            !(ch->modelled = calloc(n, sizeof(double))) ||
            !(ch->residual = calloc(n, sizeof(double))))
            return false;
    }
    return (r->pump_on = calloc(n, sizeof(bool))) && (r->bright = calloc(n, sizeof(bool)));
}

static void free_run(nr_fit_run *r)
{
    double *arrays[] = {r->t_s,        r->sun_W_m2,   r->air_degC,         r->flow_L_min,
                        r->absorbed_W, r->to_water_W, r->collector_loss_W, r->store_loss_W};
    for (size_t i = 0; i < sizeof arrays / sizeof arrays[0]; i++)
        free(arrays[i]);
    for (size_t c = 0; c < 3; c++) {
        free(r->channel[c].measured);
        free(r->channel[c].modelled);
        free(r->channel[c].residual);
    }
    free(r->pump_on);
    free(r->bright);
}

void nr_fit_free(nr_fit *fit)
{
    if (!fit)
        return;
    for (size_t i = 0; fit->run && i < fit->runs; i++)
        free_run(&fit->run[i]);
    free(fit->run);
    free(fit->curve);
    free(fit->standard);
    free(fit->point);
    free(fit);
}

static double step_mean(const double *v, size_t b, size_t m)
{
    double sum = 0;
    for (size_t i = 0; i < m; i++)
        sum += v[b * m + i];
    return sum / (double)m;
}

static void copy_weather(const nr_piece_view *p, nr_fit_run *r, size_t at)
{
    const nr_part *part = p->part;
    size_t m = p->series->steps_per_block;
    for (size_t b = 0; b < part->blocks; b++) {
        r->t_s[at + b] = part->start_s + p->series->block_s * ((double)b + 0.5);
        r->sun_W_m2[at + b] = step_mean(part->sun_W_m2, b, m);
        r->air_degC[at + b] = step_mean(part->air_degC, b, m);
        r->flow_L_min[at + b] = part->flow_L_min[b];
        r->pump_on[at + b] = part->pump_on[b];
        r->bright[at + b] = part->bright[b];
    }
}

static int out_of(const nr_fit_channel *ch)
{
    for (int c = 0; c < NR_OUTS; c++)
        if (!strcmp(ch->name, channel_name[c]))
            return c;
    return 0;
}

static void copy_channel(const nr_joint *j, size_t piece, nr_fit_channel *ch, const double *model,
                         size_t at)
{
    nr_piece_view p = nr_joint_piece(j, piece);
    int c = out_of(ch);
    nr_channel_view left;
    bool fits = nr_joint_channel(j, piece, c, &left);
    for (size_t b = 0; b < p.part->blocks; b++) {
        double measured = p.part->reading[c] ? p.part->reading[c][b] : NAN;
        bool used = fits && !isnan(left.raw_K[b]);
        ch->measured[at + b] = measured;
        ch->modelled[at + b] = nr_joint_shown(j, piece, c, nr_joint_x(j), model[b]);
        ch->residual[at + b] = used ? measured - ch->modelled[at + b] : NAN;
        ch->used += used;
        ch->left_out += !used && !isnan(measured);
    }
    if (fits)
        ch->ar1 = nr_noise_slow_correlation(&left.noise, 1) * left.noise.slow;
}

/* Simulates a piece with everything on and files it at block `at` of the run. */
static bool fill_piece(const nr_joint *j, size_t piece, nr_fit_run *r, size_t at)
{
    nr_piece_view p = nr_joint_piece(j, piece);
    size_t n = p.part->blocks;
    double *model = malloc(NR_OUTS * n * sizeof(double));
    if (!model)
        return false;
    nr_loop_output out = {.reading = {model, model + n, model + 2 * n},
                          .absorbed_W = r->absorbed_W + at,
                          .to_water_W = r->to_water_W + at,
                          .collector_loss_W = r->collector_loss_W + at,
                          .store_loss_W = r->store_loss_W + at};
    nr_joint_simulate(j, piece, nr_joint_x(j), &out);
    copy_weather(&p, r, at);
    for (size_t c = 0; c < r->channels; c++)
        copy_channel(j, piece, &r->channel[c], model + (size_t)out_of(&r->channel[c]) * n, at);
    free(model);
    return true;
}

/* Whether the noise model has understood the residuals of a channel. */
static void check_whiteness(const nr_joint *j, size_t run, nr_fit_run *r)
{
    for (size_t c = 0; c < r->channels; c++) {
        nr_fit_channel *ch = &r->channel[c];
        double before = NAN, products = 0, squares = 0;
        for (size_t i = 0; i < nr_joint_pieces(j); i++) {
            nr_channel_view left;
            if (nr_joint_piece(j, i).run != run || !nr_joint_channel(j, i, out_of(ch), &left))
                continue;
            for (size_t b = 0; b < left.blocks; b++) {
                double e = left.whitened[b];
                if (isnan(e))
                    continue;
                products += isnan(before) ? 0 : before * e;
                squares += e * e;
                ch->outliers += fabs(e) > OUTLIER;
                before = e;
            }
        }
        ch->whiteness = squares > 0 ? products / squares : NAN;
    }
}

static void count_used(nr_fit_run *r)
{
    size_t any = 0;
    for (size_t b = 0; b < r->blocks; b++) {
        bool used = false;
        for (size_t c = 0; c < r->channels; c++)
            used = used || !isnan(r->channel[c].residual[b]);
        any += used;
    }
    r->used_s = fmin((double)any * r->block_s, r->duration_s); /* a block is around its reading */
    for (size_t c = 0; c < r->channels; c++) {
        double sum = 0;
        for (size_t b = 0; b < r->blocks; b++)
            sum += isnan(r->channel[c].residual[b]) ? 0 : pow(r->channel[c].residual[b], 2);
        r->channel[c].rms_K = r->channel[c].used ? sqrt(sum / (double)r->channel[c].used) : NAN;
    }
}

static bool fill_run(const nr_joint *j, size_t run, nr_fit_run *r)
{
    const nr_series *s = nr_joint_series(j, run);
    const nr_run *record = s->run;
    nr_values utc = nr_readings_utc(record->readings);
    *r = (nr_fit_run){
        .rows = s->rows,
        .duration_s = s->duration_s,
        .start_utc_s = nr_number(&utc, 0),
        .latitude_deg = record->rig.latitude_deg.given ? record->rig.latitude_deg.value : NAN,
        .longitude_deg = record->rig.longitude_deg.given ? record->rig.longitude_deg.value : NAN,
        .block_s = s->block_s};
    snprintf(r->folder, sizeof r->folder, "%s", record->folder);
    snprintf(r->title, sizeof r->title, "%s", record->rig.title);
    for (size_t i = 0; i < s->parts; i++)
        r->blocks += s->part[i].blocks;
    for (int c = 0; c < NR_OUTS; c++)
        if (s->part[0].reading[c])
            snprintf(r->channel[r->channels++].name, sizeof r->channel[0].name, "%s",
                     channel_name[c]);
    if (!run_alloc(r))
        return false;
    size_t at = 0;
    for (size_t i = 0; i < nr_joint_pieces(j); i++) {
        nr_piece_view p = nr_joint_piece(j, i);
        if (p.run != run)
            continue;
        if (!fill_piece(j, i, r, at))
            return false;
        at += p.part->blocks;
    }
    count_used(r);
    check_whiteness(j, run, r);
    return true;
}

static const nr_fit_channel *channel_of(const nr_fit_run *r, const char *name)
{
    for (size_t c = 0; c < r->channels; c++)
        if (!strcmp(r->channel[c].name, name))
            return &r->channel[c];
    return NULL;
}

/* The reference temperature the curve is on, as modelled (the sensors' errors are in it only
 * through the fit, and holes have values). */
static double reference_at(const nr_fit *f, const nr_fit_run *r, size_t b)
{
    const nr_fit_channel *in = channel_of(r, "inlet"), *out = channel_of(r, "outlet");
    if (!in)
        in = channel_of(r, "store");
    double t = in->modelled[b];
    if (f->reference == NR_REFERENCE_INLET)
        return t;
    if (out)
        return (t + out->modelled[b]) / 2;
    double water = fmin(fmax(t, 0), 100);
    double flow_W_K =
        f->mean_flow_L_min / 60000 * nr_water_density_kg_m3(water) * nr_water_cp_J_kgK(water);
    return t + r->to_water_W[b] / (2 * flow_W_K);
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void range_of(double *v, size_t n, double range[2])
{
    if (!n) {
        range[0] = range[1] = NAN;
        return;
    }
    qsort(v, n, sizeof *v, by_value);
    size_t tail = (size_t)(RANGE_TAIL * (double)n);
    range[0] = v[tail];
    range[1] = v[n - 1 - tail];
}

/* Ranges over sunny, pumped, used blocks. x is the temperature range at the mean irradiance: a
 * passing cloud does not widen what was tested. */
static bool set_ranges(nr_fit *f)
{
    size_t most = 0, n = 0;
    double max_sun = 0;
    for (size_t i = 0; i < f->runs; i++) {
        most += f->run[i].blocks;
        for (size_t b = 0; b < f->run[i].blocks; b++)
            max_sun = fmax(max_sun, f->run[i].sun_W_m2[b]);
    }
    double *dT = malloc((most ? most : 1) * sizeof(double));
    double *sun = malloc((most ? most : 1) * sizeof(double));
    for (size_t i = 0; dT && sun && i < f->runs; i++) {
        const nr_fit_run *r = &f->run[i];
        for (size_t b = 0; b < r->blocks; b++) {
            if (!r->pump_on[b] || r->sun_W_m2[b] < NR_SUN_COUNTS * max_sun || !r->bright[b])
                continue;
            dT[n] = reference_at(f, r, b) - r->air_degC[b];
            sun[n++] = r->sun_W_m2[b];
        }
    }
    if (dT && sun) {
        range_of(dT, n, f->dT_range);
        range_of(sun, n, f->sun_range);
        f->x_range[0] = f->dT_range[0] / f->mean_sun_W_m2;
        f->x_range[1] = f->dT_range[1] / f->mean_sun_W_m2;
    }
    bool good = dT && sun;
    free(dT);
    free(sun);
    return good;
}

static void set_rms(nr_fit *f)
{
    double sum = 0;
    size_t n = 0;
    for (size_t i = 0; i < f->runs; i++) {
        for (size_t c = 0; c < f->run[i].channels; c++) {
            const nr_fit_channel *ch = &f->run[i].channel[c];
            sum += ch->used ? ch->rms_K * ch->rms_K * (double)ch->used : 0;
            n += ch->used;
        }
    }
    f->residual_rms_K = n ? sqrt(sum / (double)n) : NAN;
}

nr_code nr_derive_runs(const nr_joint *j, size_t build, nr_fit *f, nr_err *err)
{
    size_t count = 0;
    for (size_t r = 0; r < nr_joint_runs(j); r++)
        count += nr_joint_build_of(j, r) == build;
    f->run = calloc(count, sizeof *f->run);
    bool good = f->run != NULL;
    for (size_t r = 0; good && r < nr_joint_runs(j); r++)
        if (nr_joint_build_of(j, r) == build)
            good = fill_run(j, r, &f->run[f->runs++]);
    if (!good || !set_ranges(f))
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    set_rms(f);
    return NR_OK;
}
