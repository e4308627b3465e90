/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/like.h"
#include "analyze/joint/misreading.h"

#include "logger/run/meaning.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The first minutes of a part warm the collector up from an unknown state, through a store that is
 * not mixed yet; they must not set the heat capacity. */
#define START_S 300.0
/* Where readings come more seldom than that, the water's first one counts: it is a fifth or a tenth
 * of all there is. */
#define SELDOM_S 60.0
/* So many rows of inlet and flow say what the loop carried between them. */
#define DRIVING_ROWS 15
/* Shortest useful record of a channel. */
#define SHORTEST_CHANNEL_S 300.0

static bool grow(nr_joint *j)
{
    size_t n = j->parameters;
    if (n & (n - 1) && n >= 16)
        return true;
    if (n != 0 && n < 16)
        return true;
    nr_parameter *p = realloc(j->parameter, (n ? 2 * n : 16) * sizeof *p);
    if (p)
        j->parameter = p;
    return p != NULL;
}

/* The index of the parameter with this term and key; added from the template when new. -1: out of
 * memory. */
static int intern(nr_joint *j, const nr_parameter *like)
{
    for (size_t i = 0; i < j->parameters; i++)
        if (j->parameter[i].row->family == like->row->family &&
            !strcmp(j->parameter[i].key, like->key))
            return (int)i;
    if (!grow(j))
        return -1;
    j->parameter[j->parameters] = *like;
    return (int)j->parameters++;
}

/* A pump that stood still for long while the record went on tells the container's loss alone. */
static bool cools_alone(const nr_series *series)
{
    double off_s = 0;
    for (size_t i = 0; i < series->parts; i++)
        for (size_t b = 0; b < series->part[i].blocks; b++)
            off_s += series->part[i].pump_on[b] ? 0 : series->block_s;
    return series->pump_known && off_s >= 900;
}

/* Whether some run of the build can tell the container's loss from the collector's. */
static bool store_loss_separable(const nr_joint *j, size_t build)
{
    for (size_t r = 0; r < j->runs; r++) {
        const nr_series *series = j->series[r];
        if (j->build_of[r] == build && (series->run->rig.store.loss_W_K.given ||
                                        nr_joint_has_loop(j, series) || cools_alone(series)))
            return true;
    }
    return false;
}

static bool stated_container(const nr_piece *p)
{
    return p->series->run->rig.store.water_kg.given;
}

/* Where inlet and flow are measured they drive the collector, whatever the container does; but not
 * by a handful of readings, while the container kept all the heat. */
static void choose_drive(const nr_joint *j, nr_piece *p)
{
    bool handful = p->series->rows < DRIVING_ROWS && p->series->sparse && j->options.use_store &&
                   p->part->reading[NR_OUT_STORE] && stated_container(p);
    p->driven = j->options.use_loop && p->part->inlet_degC != NULL && !handful;
    if (!p->driven)
        p->input.inlet_degC = p->input.outlet_degC = NULL;
}

static double begins_s(const nr_piece *p, int channel)
{
    return channel == NR_OUT_STORE && p->series->block_s >= SELDOM_S ? 0 : START_S;
}

/* Which blocks of which channels count. */
static bool choose_blocks(const nr_joint *j, nr_piece *p)
{
    for (int c = 0; c < NR_OUTS; c++) {
        const double *reading = p->part->reading[c];
        p->measured[c] = reading;
        p->used[c] = calloc(p->part->blocks, 1);
        if (!p->used[c])
            return false;
        bool wanted = c == NR_OUT_STORE ? j->options.use_store : j->options.use_loop;
        if (c == NR_OUT_INLET && !p->part->reading[NR_OUT_STORE])
            wanted = true; /* the only thermometer in the water */
        if (p->driven && c == NR_OUT_INLET)
            wanted = false; /* an input */
        if (p->driven && c == NR_OUT_STORE)
            wanted = wanted && stated_container(p) && !j->options.without_container[p->build];
        for (size_t b = 0; reading && wanted && b < p->part->blocks; b++) {
            bool ok = !isnan(reading[b]) && (c == NR_OUT_STORE || p->part->settled[b]) &&
                      (!p->driven || c == NR_OUT_STORE || p->part->bright[b]) &&
                      (double)b * p->series->block_s >= begins_s(p, c);
            p->used[c][b] = ok;
            p->used_count[c] += ok;
        }
        double each_s = fmax(p->series->block_s, p->series->usual_s);
        p->fits[c] = (double)p->used_count[c] * each_s >= SHORTEST_CHANNEL_S;
    }
    return true;
}

static bool allocate_piece(nr_joint *j, nr_piece *p)
{
    for (int c = 0; c < NR_OUTS; c++) {
        if (!p->fits[c])
            continue;
        size_t n = p->part->blocks;
        p->reading[c] = malloc(n * sizeof(double));
        p->tangent[c] = malloc(n * NR_DYN_COUNT * sizeof(double));
        if (!p->reading[c] || !p->tangent[c] || !nr_whitener_init(&p->whitener[c], n))
            return false;
        p->row[c] = j->rows;
        j->rows += n;
    }
    return !p->driven || !p->fits[NR_OUT_OUTLET] || nr_misreading_fronts(p);
}

/* The first part of the same record of the same collector: before a change, the whole after it. */
static size_t first_part(const nr_joint *j, size_t run)
{
    for (size_t r = 0; r < run; r++)
        if (nr_run_same_collector(j->series[r]->run, j->series[run]->run))
            return r;
    return run;
}

/* The first run of the record that has this channel: builds of one record share the weather's
 * sensors, stated identity or not, and the sky where there is none; parts of one build all. */
static size_t first_with(const nr_joint *j, size_t run, const char *channel,
                         const nr_rig_channel *c)
{
    const nr_meaning *meaning = nr_meaning_find(channel);
    if (!meaning || meaning->own || (c && c->of[0]))
        return first_part(j, run);
    for (size_t r = 0; r < run; r++) {
        const nr_rig_channel *other = nr_rig_channel_find(&j->series[r]->run->rig, channel);
        if (nr_run_same_record(j->series[r]->run, j->series[run]->run) && !(other && other->of[0]))
            return r;
    }
    return run;
}

/* The identity whose error is shared: the stated sensor, or the channel of this record. */
static void preset_key(const nr_setting *s, const nr_term_row *row, nr_prior *p)
{
    const nr_piece *piece = s->piece;
    const nr_rig_channel *c = nr_rig_channel_find(&piece->series->run->rig, row->channel);
    if (row->scope == NR_OF_SENSOR && c && c->sensor[0])
        snprintf(p->key, sizeof p->key, "sensor %s", c->sensor);
    else if (row->scope == NR_OF_SENSOR)
        snprintf(p->key, sizeof p->key, "run %zu %s",
                 first_with(s->joint, piece->run, row->channel, c), row->channel);
    else if (row->measured_once && row->scope == NR_OF_RUN)
        snprintf(p->key, sizeof p->key, "run %zu", first_part(s->joint, piece->run));
    else if (row->measured_once)
        snprintf(p->key, sizeof p->key, "build %zu",
                 s->joint->build_of[first_part(s->joint, piece->run)]);
    else if (row->scope == NR_OF_RUN)
        snprintf(p->key, sizeof p->key, "run %zu", piece->run);
    else if (row->scope == NR_OF_PIECE)
        snprintf(p->key, sizeof p->key, "piece %zu", s->index);
    else
        snprintf(p->key, sizeof p->key, "build %zu", piece->build);
}

/* One term for one piece: a parameter, shared with whoever has its key, or a fixed value. */
static bool add_term(const nr_setting *s, nr_term term)
{
    const nr_term_row *row = s->piece->term[term] = nr_term_find(term);
    nr_prior p = {0};
    preset_key(s, row, &p);
    bool wanted = row->prior(s, &p);
    s->piece->fixed[term] = wanted ? 0 : p.value;
    if (!wanted)
        return true;
    nr_parameter like = {.term = term,
                         .row = row,
                         .variant = p.variant,
                         .start = p.value,
                         .scale = p.u,
                         .has_prior = true,
                         .stated = p.stated,
                         .prior = p.value,
                         .prior_u = hypot(p.u, p.beyond_u),
                         .said_u = p.u,
                         .asked_u = p.asked_u,
                         .piece = s->index,
                         .ask = p.ask ? p.ask : ""};
    snprintf(like.key, sizeof like.key, "%s", p.key);
    s->piece->index[term] = intern(s->joint, &like);
    return s->piece->index[term] >= 0;
}

static bool setup_piece(nr_joint *j, size_t index)
{
    nr_piece *p = &j->piece[index];
    p->input = nr_series_input(p->series, p->part);
    for (int t = 0; t < NR_TERMS; t++)
        p->index[t] = -1;
    choose_drive(j, p);
    if (!choose_blocks(j, p) || !allocate_piece(j, p))
        return false;
    j->store_loss_separate[p->build] =
        !j->options.lump_store_loss && store_loss_separable(j, p->build);
    nr_setting s = {.joint = j, .piece = p, .index = index};
    for (int t = 0; t < NR_TERMS; t++)
        if (!add_term(&s, (nr_term)t))
            return false;
    return true;
}

static void set_pivots(nr_joint *j)
{
    for (size_t b = 0; b < j->builds; b++) {
        nr_pivot sum = {0};
        double n = 0;
        for (size_t r = 0; r < j->runs; r++) {
            const nr_series *s = j->series[r];
            double x = (s->mean_sunny_store_degC - s->mean_air_degC) / s->mean_sun_W_m2;
            if (j->build_of[r] != b || !isfinite(x))
                continue;
            sum.entering += x;
            sum.at.sun_W_m2 += s->mean_sun_W_m2;
            sum.at.air_degC += s->mean_air_degC;
            sum.at.flow_W_K += s->mean_flow_W_K;
            sum.at.sky_W_m2 += s->mean_sky_W_m2;
            sum.at.has_sky = sum.at.has_sky || s->sky_source != NR_SKY_NOT_USED;
            n++;
        }
        if (!(n > 0))
            continue;
        j->pivot[b] = sum;
        j->pivot[b].entering /= n;
        j->pivot[b].at.sun_W_m2 /= n;
        j->pivot[b].at.air_degC /= n;
        j->pivot[b].at.flow_W_K /= n;
        j->pivot[b].at.sky_W_m2 /= n;
    }
}

static nr_code setup_all(nr_joint *j, nr_err *err)
{
    size_t total = 0, usable = 0;
    for (size_t r = 0; r < j->runs; r++)
        total += j->series[r]->parts;
    j->piece = calloc(total, sizeof *j->piece);
    bool good = j->piece != NULL;
    for (size_t r = 0; good && r < j->runs; r++) {
        for (size_t i = 0; good && i < j->series[r]->parts; i++) {
            nr_piece *p = &j->piece[j->pieces++];
            *p = (nr_piece){.series = j->series[r],
                            .part = &j->series[r]->part[i],
                            .run = r,
                            .build = j->build_of[r]};
            good = setup_piece(j, j->pieces - 1);
            usable += p->used_count[0] + p->used_count[1] + p->used_count[2];
        }
    }
    if (!good)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!usable)
        return nr_fail(err, NR_CANNOT, j->series[0]->run->folder, 0,
                       "no stretch of five minutes with a usable water temperature");
    nr_like_group(j);
    nr_misreading_set(j);
    for (size_t i = 0; i < j->parameters; i++)
        j->rows += j->parameter[i].has_prior;
    j->x = calloc(j->parameters, sizeof(double));
    j->covariance = calloc(j->parameters * j->parameters, sizeof(double));
    j->residual = calloc(j->rows, sizeof(double));
    j->whitened = calloc(j->rows, sizeof(double));
    if (!j->x || !j->covariance || !j->residual || !j->whitened)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    return NR_OK;
}

nr_code nr_joint_setup(const nr_series *const *series, const size_t *build_of, size_t runs,
                       size_t builds, const nr_joint_options *options, nr_joint **out, nr_err *err)
{
    *out = NULL;
    if (runs == 0 || runs > NR_JOINT_RUNS)
        return nr_fail(err, NR_BAD, NULL, 0, "1 to %d runs can be fitted together, not %zu",
                       NR_JOINT_RUNS, runs);
    nr_joint *j = calloc(1, sizeof *j);
    if (!j)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    j->options = *options;
    j->runs = runs;
    j->builds = builds;
    memcpy(j->series, series, runs * sizeof *series);
    memcpy(j->build_of, build_of, runs * sizeof *build_of);
    set_pivots(j);
    nr_code code = setup_all(j, err);
    if (code)
        nr_joint_free(j);
    else
        *out = j;
    return code;
}

void nr_joint_free(nr_joint *j)
{
    if (!j)
        return;
    for (size_t i = 0; i < j->pieces && !j->whole; i++) {
        for (int c = 0; c < NR_OUTS; c++) {
            free(j->piece[i].used[c]);
            free(j->piece[i].reading[c]);
            free(j->piece[i].tangent[c]);
            nr_whitener_free(&j->piece[i].whitener[c]);
        }
        free(j->piece[i].fronts);
        free(j->piece[i].even);
    }
    free(j->piece);
    free(j->parameter);
    free(j->x);
    free(j->covariance);
    free(j->residual);
    free(j->whitened);
    free(j->of_whole);
    free(j);
}
