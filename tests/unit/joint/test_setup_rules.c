/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What of a record enters the fit: for records spoiled at random the rules are written down once
 * more, block by block, and compared in every channel. */
#include "tests/unit/joint/bundle.h"

/* A record of half an hour in blocks of ten seconds, whose series is spoiled as the test likes. */
typedef struct record {
    nr_virtual_run *run;
    nr_series *series, whole; /* whole: as it was */
    double *reading[NR_OUTS], *inlet, *outlet;
} record;

static void keep(record *r)
{
    r->whole = *r->series;
    nr_part *p = &r->series->part[0];
    for (int c = 0; c < NR_OUTS; c++)
        r->reading[c] = p->reading[c];
    r->inlet = p->inlet_degC;
    r->outlet = p->outlet_degC;
}

static void set_up_record(record *r)
{
    nr_err err = {0};
    nr_virtual_params p = nr_virtual_glazed();
    p.rig_seed = p.day_seed = 7302;
    p.duration_s = 1800;
    p.interval_s = 10;
    r->run = simulate(&p);
    ck_assert_msg(!nr_series_build(&r->run->run, &r->series, &err), "%s", err.text);
    ck_assert_uint_eq(r->series->parts, 1);
    ck_assert_uint_ge(r->series->part[0].blocks, 150);
    keep(r);
}

/* As it was, but for the readings that were struck. */
static void put_back(record *r)
{
    nr_part *p = &r->series->part[0];
    *r->series = r->whole;
    for (int c = 0; c < NR_OUTS; c++)
        p->reading[c] = r->reading[c];
    p->inlet_degC = r->inlet;
    p->outlet_degC = r->outlet;
}

static void take_down(record *r)
{
    put_back(r);
    nr_series_free(r->series);
    nr_virtual_run_free(r->run);
}

static nr_joint *joint_of(const record *r, const nr_joint_options *options)
{
    static const size_t build_of[1] = {0};
    const nr_series *one = r->series;
    nr_joint *j = NULL;
    nr_code code = nr_joint_setup(&one, build_of, 1, 1, options, &j, NULL);
    ck_assert(code == NR_OK || code == NR_CANNOT);
    return j;
}

static bool one_in(unsigned long long *state, double n)
{
    return chance(state) * n < 1;
}

static void strike(record *r, unsigned long long *state)
{
    nr_part *p = &r->series->part[0];
    for (size_t b = 0; b < p->blocks; b++) {
        for (int c = 0; c < NR_OUTS; c++)
            if (p->reading[c])
                p->reading[c][b] = one_in(state, 4) ? NAN : 20 + normal(state);
        p->settled[b] = !one_in(state, 4);
        p->bright[b] = !one_in(state, 4);
    }
}

static nr_joint_options spoil(record *r, unsigned long long *state)
{
    nr_part *p = &r->series->part[0];
    nr_joint_options options = {.use_store = !one_in(state, 4), .use_loop = !one_in(state, 4)};
    put_back(r);
    options.without_container[0] = one_in(state, 4);
    r->run->run.rig.store.water_kg.given = !one_in(state, 4);
    r->series->rows = one_in(state, 2) ? 14 : 15;
    r->series->sparse = one_in(state, 2);
    if (one_in(state, 4))
        p->reading[NR_OUT_STORE] = NULL;
    if (one_in(state, 4))
        p->inlet_degC = p->outlet_degC = NULL;
    static const double lengths[] = {5, 10, 59.9, 60, 60.1, 150};
    r->series->block_s = lengths[(int)(chance(state) * 6)];
    r->series->usual_s = one_in(state, 2) ? 0.5 * r->series->block_s : 2 * r->series->block_s;
    strike(r, state);
    return options;
}

/* The rules: what drives is no reading that is fitted; the first five minutes of a part do not
 * count (unless the water's are all there is, at a minute and more apart); the outlet counts once
 * it has settled, and where it is driven while the sun is high; and less than five minutes of
 * readings are none. */
static void check_piece(const char *what, const record *r, const nr_joint *j,
                        const nr_joint_options *options)
{
    const nr_piece *p = &j->piece[0];
    const nr_part *part = &r->series->part[0];
    const bool stated = r->run->run.rig.store.water_kg.given;
    bool kept_heat = options->use_store && part->reading[NR_OUT_STORE] && stated;
    bool driven = options->use_loop && part->inlet_degC &&
                  !(r->series->sparse && r->series->rows < 15 && kept_heat);
    size_t row = 0;
    ck_assert_msg(p->driven == driven, "%s: driven or not", what);
    ck_assert_msg((p->input.inlet_degC != NULL) == driven, "%s: the input's inlet", what);
    for (int c = 0; c < NR_OUTS; c++) {
        bool wanted = c == NR_OUT_STORE ? options->use_store : options->use_loop;
        if (c == NR_OUT_INLET)
            wanted = !driven && (wanted || !part->reading[NR_OUT_STORE]);
        if (c == NR_OUT_STORE && driven)
            wanted = wanted && stated && !options->without_container[0];
        bool early_counts = c == NR_OUT_STORE && r->series->block_s >= 60;
        size_t count = 0;
        for (size_t b = 0; b < part->blocks; b++) {
            bool used = wanted && part->reading[c] && !isnan(part->reading[c][b]);
            if (!early_counts && (double)b * r->series->block_s < 300)
                used = false;
            if (c != NR_OUT_STORE && !part->settled[b])
                used = false;
            if (c != NR_OUT_STORE && driven && !part->bright[b])
                used = false;
            ck_assert_msg(p->used[c][b] == used, "%s: channel %d, block %zu", what, c, b);
            count += used;
        }
        ck_assert_uint_eq(p->used_count[c], count);
        ck_assert_msg(p->measured[c] == part->reading[c], "%s: what is measured", what);
        double covered = (double)count * fmax(r->series->block_s, r->series->usual_s);
        ck_assert_msg(p->fits[c] == (covered >= 300), "%s: channel %d of %g s", what, c, covered);
        if (p->fits[c]) {
            ck_assert_uint_eq(p->row[c], row);
            row += part->blocks;
        }
    }
    ck_assert_uint_eq(j->rows, row + j->parameters); /* each has a prior */
}

START_TEST(what_counts)
{
    record r;
    set_up_record(&r);
    unsigned long long state = 7303;
    int refused = 0, taken = 0;
    for (int number = 0; number < 150; number++) {
        char what[32];
        snprintf(what, sizeof what, "record %d", number);
        nr_joint_options options = spoil(&r, &state);
        nr_joint *j = joint_of(&r, &options);
        refused += !j;
        taken += j != NULL;
        if (j)
            check_piece(what, &r, j, &options);
        nr_joint_free(j);
    }
    ck_assert_int_gt(refused, 5);
    ck_assert_int_gt(taken, 50);
    take_down(&r);
}
END_TEST

/* Five minutes of readings, to the block: 30 of ten seconds are enough, 29 are not; and nothing at
 * all is refused by name. */
START_TEST(five_minutes)
{
    record r;
    set_up_record(&r);
    nr_joint_options options = {.use_store = true};
    nr_part *p = &r.series->part[0];
    r.series->block_s = r.series->usual_s = 10;
    for (size_t many = 0; many <= 31; many++) {
        static const size_t build_of[1] = {0};
        const nr_series *one = r.series;
        nr_joint *j = NULL;
        nr_err err = {.text = ""};
        for (size_t b = 0; b < p->blocks; b++)
            p->reading[NR_OUT_STORE][b] = b < 30 + many ? 20 : NAN; /* the first 30 are passed */
        nr_code code = nr_joint_setup(&one, build_of, 1, 1, &options, &j, &err);
        ck_assert_int_eq(code, many ? NR_OK : NR_CANNOT);
        ck_assert_msg(many || strstr(err.text, "no stretch of five minutes"), "%s", err.text);
        ck_assert(!many || j->piece[0].fits[NR_OUT_STORE] == (many >= 30));
        nr_joint_free(j);
    }
    take_down(&r);
}
END_TEST

/* The container's loss is told from the collector's where it is stated, where a loop says what the
 * collector gave, or where the water stood for a quarter of an hour and the record says so. */
START_TEST(a_loss_of_its_own)
{
    record r;
    set_up_record(&r);
    nr_part *p = &r.series->part[0];
    nr_rig *rig = &r.run->run.rig;
    r.series->block_s = 10;
    for (int k = 0; k < 64; k++) {
        nr_joint_options options = {
            .use_store = true, .use_loop = k & 1, .lump_store_loss = (k & 6) == 6};
        size_t off = k & 8 ? 90 : 89; /* blocks */
        put_back(&r);
        r.series->block_s = 10;
        rig->store.loss_W_K.given = (k & 6) == 2;
        r.series->pump_known = k & 16;
        if (k & 32)
            p->reading[NR_OUT_OUTLET] = NULL;
        for (size_t b = 0; b < p->blocks; b++)
            p->pump_on[b] = b >= off;
        nr_joint *j = joint_of(&r, &options);
        ck_assert_ptr_nonnull(j);
        bool loop = (k & 1) && !(k & 32);
        bool told = rig->store.loss_W_K.given || loop || ((k & 16) && (k & 8));
        ck_assert_msg(j->store_loss_separate[0] == (told && !options.lump_store_loss), "case %d",
                      k);
        nr_joint_free(j);
    }
    take_down(&r);
}
END_TEST

/* ---- where a build was run on average ---- */

START_TEST(pivots_are_means)
{
    enum { MANY = 5 };
    static const size_t build_of[MANY] = {1, 0, 1, 1, 0};
    record r;
    set_up_record(&r);
    nr_series *copy = malloc(MANY * sizeof *copy);
    const nr_series *all[MANY];
    unsigned long long state = 7304;
    for (int i = 0; i < MANY; i++) {
        copy[i] = *r.series;
        copy[i].mean_sun_W_m2 = i == 2 ? NAN : 400 + 500 * chance(&state);
        copy[i].mean_air_degC = 10 + 20 * chance(&state);
        copy[i].mean_sunny_store_degC = 30 + 20 * chance(&state);
        copy[i].mean_flow_W_K = 50 + 100 * chance(&state);
        copy[i].mean_sky_W_m2 = -80 * chance(&state);
        copy[i].sky_source = i == 3 ? NR_SKY_FROM_AIR : NR_SKY_NOT_USED;
        all[i] = &copy[i];
    }
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_joint *j = NULL;
    ck_assert_int_eq(nr_joint_setup(all, build_of, MANY, 3, &options, &j, NULL), NR_OK);
    for (size_t b = 0; b < 2; b++) {
        double n = 0, x = 0, sun = 0, air = 0, flow = 0, sky = 0;
        for (int i = 0; i < MANY; i++) {
            if (build_of[i] != b || i == 2)
                continue;
            n++;
            x += (copy[i].mean_sunny_store_degC - copy[i].mean_air_degC) / copy[i].mean_sun_W_m2;
            sun += copy[i].mean_sun_W_m2;
            air += copy[i].mean_air_degC;
            flow += copy[i].mean_flow_W_K;
            sky += copy[i].mean_sky_W_m2;
        }
        const nr_pivot *p = &j->pivot[b];
        NEAR_RELATIVE(p->entering, x / n, 1e-12);
        NEAR_RELATIVE(p->at.sun_W_m2, sun / n, 1e-12);
        NEAR_RELATIVE(p->at.air_degC, air / n, 1e-12);
        NEAR_RELATIVE(p->at.flow_W_K, flow / n, 1e-12);
        NEAR_RELATIVE(p->at.sky_W_m2, sky / n, 1e-12);
        ck_assert(p->at.has_sky == (b == 1));
    }
    ck_assert_double_eq(j->pivot[2].at.flow_W_K, 0); /* a build without a run */
    nr_joint_free(j);
    free(copy);
    take_down(&r);
}
END_TEST

/* ---- who is whose parameter ---- */

/* Every parameter begins at its prior, as uncertain as that; and pieces whose key is the same have
 * it together, no others. */
START_TEST(parameters_by_their_keys)
{
    bundle b;
    set_up(&b);
    const nr_joint *j = b.joint;
    for (size_t i = 0; i < j->parameters; i++) {
        const nr_parameter *p = &j->parameter[i];
        NEAR(p->start, p->prior, 0);
        NEAR(p->scale, p->said_u, 0);
        ck_assert(p->has_prior && p->prior_u > 0 && p->key[0]);
        for (size_t k = 0; k < i; k++)
            ck_assert(j->parameter[k].row->family != p->row->family ||
                      strcmp(j->parameter[k].key, p->key) != 0);
        bool first = false;
        for (size_t k = 0; k <= p->piece; k++)
            for (int t = 0; t < NR_TERMS; t++)
                first = first || (j->piece[k].index[t] == (int)i && k == p->piece);
        ck_assert_msg(first, "%s: not of piece %zu", p->row->name, p->piece);
        if (p->row->scope == NR_OF_PIECE) {
            char key[32];
            snprintf(key, sizeof key, "piece %zu", p->piece);
            ck_assert_str_eq(p->key, key);
        }
    }
    for (size_t i = 0; i < j->pieces; i++)
        for (int t = 0; t < NR_TERMS; t++) {
            ck_assert_ptr_eq(j->piece[i].term[t], nr_term_find((nr_term)t));
            ck_assert_int_lt(j->piece[i].index[t], (int)j->parameters);
            ck_assert(j->piece[i].index[t] < 0 || j->piece[i].fixed[t] == 0);
        }
    tear_down(&b);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        what_counts, five_minutes, a_loss_of_its_own, pivots_are_means, parameters_by_their_keys,
        NULL};
    return run_tests("setup_rules", tests);
}
