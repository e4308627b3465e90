/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON documents: the promised keys, the same doubles back, null for what is not known. */
#include "analyze/show/show.h"
#include "analyze/tell/tell.h"
#include "tests/unit/near.h"
#include "tests/unit/plots/fixture.h"

#include <jansson.h>

static json_t *read_back(char *text)
{
    json_error_t error;
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, &error);
    ck_assert_msg(root != NULL, "line %d: %s", error.line, error.text);
    free(text);
    return root;
}

static json_t *fit_document(const nr_fit *fit)
{
    char *text = NULL;
    size_t size;
    nr_err err;
    FILE *to = open_memstream(&text, &size);
    ck_assert_int_eq(nr_json_fit(to, fit, &err), NR_OK);
    fclose(to);
    return read_back(text);
}

/* "a.b.c" */
static json_t *at(json_t *root, const char *path)
{
    char key[64];
    json_t *j = root;
    for (const char *p = path; *p != '\0';) {
        size_t n = strcspn(p, ".");
        (void)snprintf(key, sizeof key, "%.*s", (int)n, p);
        j = json_object_get(j, key);
        ck_assert_msg(j != NULL, "no %s in %s", key, path);
        p += n + (p[n] == '.');
    }
    return j;
}

static void same(json_t *root, const char *path, double value)
{
    json_t *j = at(root, path);
    ck_assert_msg(json_is_number(j), "%s is no number", path);
    ck_assert_msg(json_number_value(j) == value, "%s: %.17g is not %.17g", path,
                  json_number_value(j), value);
}

static void is_null(json_t *root, const char *path)
{
    ck_assert_msg(json_is_null(at(root, path)), "%s is not null", path);
}

static void is_quantity(json_t *root, const char *path, const nr_quantity *q)
{
    json_t *j = at(root, path);
    same(j, "value", q->value);
    same(j, "u", q->u);
    same(j, "u_random", q->u_random);
    same(j, "u_systematic", q->u_systematic);
    same(j, "lo95", q->lo95);
    same(j, "hi95", q->hi95);
    ck_assert_str_eq(json_string_value(at(j, "unit")), nr_unit_word(q->unit));
    ck_assert_uint_eq(json_object_size(j), 7);
}

START_TEST(fit_keys)
{
    fixture x = {.seed = 1};
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 2);
    f->eta0.value = 0.1 + 0.2; /* not the shortest decimal: all 17 digits must survive */
    f->budget[0].share[NR_SHARE_ETA0] = 0.5;
    f->budget[0].share[NR_SHARE_A1] = 0.25;
    f->budget[0].share[NR_SHARE_RUN] = 0.125;
    json_t *root = fit_document(f);
    ck_assert_str_eq(json_string_value(at(root, "program")), "noonfit");
    ck_assert(json_is_string(at(root, "version")));
    ck_assert_uint_eq(json_array_size(at(root, "runs")), 2);
    json_t *run = json_array_get(at(root, "runs"), 1);
    ck_assert_str_eq(json_string_value(at(run, "folder")), "sample-runs/wash-stand-glazed");
    ck_assert_int_eq(json_integer_value(at(run, "rows")), 5400);
    same(run, "duration_s", 5400);
    same(run, "used_s", 5100);
    ck_assert_str_eq(json_string_value(at(root, "collector.name")), "Glazed wash stand");
    same(root, "collector.gross_area_m2", 1.1);
    ck_assert_str_eq(json_string_value(at(root, "model")), "both");
    ck_assert_str_eq(json_string_value(at(root, "reference_temperature")), "mean");
    ck_assert(json_is_false(at(root, "loss_includes_store")));
    is_quantity(root, "parameters.eta0", &f->eta0);
    is_quantity(root, "parameters.a1", &f->a1);
    is_null(root, "parameters.a2");
    is_quantity(root, "parameters.a5", &f->a5);
    is_quantity(root, "parameters.store_loss", &f->store_loss);
    is_quantity(root, "energy.run_efficiency", &f->run_efficiency);
    is_quantity(root, "stagnation_K", &f->stagnation_K);
    is_quantity(root, "time_constant_s", &f->time_constant_s);
    same(root, "energy.sun_J", f->sun_J);
    same(root, "energy.water_J", f->water_J);
    same(root, "residual_rms_K", f->residual_rms_K);
    for (int end = 0; end < 2; end++) {
        ck_assert(json_number_value(json_array_get(at(root, "range.reduced_temperature"),
                                                   (size_t)end)) == f->x_range[end]);
        ck_assert(json_number_value(json_array_get(at(root, "range.temperature_difference_K"),
                                                   (size_t)end)) == f->dT_range[end]);
        ck_assert(json_number_value(json_array_get(at(root, "range.irradiance_W_m2"),
                                                   (size_t)end)) == f->sun_range[end]);
    }
    size_t first = 0, tested = 0;
    while (!f->curve[first].tested)
        first++;
    for (size_t i = 0; i < f->curve_points; i++)
        tested += f->curve[i].tested;
    ck_assert_uint_eq(json_array_size(at(root, "curve")), tested);
    ck_assert_uint_eq(json_array_size(at(root, "extrapolation")), f->curve_points - tested);
    ck_assert_uint_gt(tested, 2);
    json_t *point = json_array_get(at(root, "curve"), 2);
    same(point, "reduced_temperature", f->curve[first + 2].x);
    same(point, "eta", f->curve[first + 2].eta);
    same(point, "lo95", f->curve[first + 2].lo95);
    same(point, "hi95", f->curve[first + 2].hi95);
    json_t *item = json_array_get(at(root, "budget"), 0);
    same(item, "stated_u", f->budget[0].stated_u);
    same(item, "share_eta0", 0.5);
    same(item, "share_a1", 0.25);
    same(item, "share_run_efficiency", 0.125);
    json_t *warning = json_array_get(at(root, "warnings"), 0);
    ck_assert_str_eq(json_string_value(at(warning, "code")), "loss-uncertain");
    ck_assert_ptr_nonnull(strstr(json_string_value(at(warning, "text")), "within 13 K of"));
    json_decref(root);
    fixture_done(&x);
}
END_TEST

START_TEST(not_known_is_null)
{
    fixture x = {.seed = 1};
    fixture_build b = fixture_glazed;
    b.loop = false;
    b.name = "\xff not UTF-8 \"quoted\" \n line";
    nr_fit *f = fixture_fit(&x, &b, 1);
    f->residual_rms_K = NAN;
    f->x_range[1] = INFINITY;
    f->incidence.known = false;
    json_t *root = fit_document(f);
    is_null(root, "parameters.store_loss");
    is_null(root, "residual_rms_K");
    is_null(root, "conditions.flow_L_min");
    is_null(root, "incidence");
    is_null(root, "regression");
    ck_assert(json_is_null(json_array_get(at(root, "range.reduced_temperature"), 1)));
    ck_assert(json_is_true(at(root, "loss_includes_store")));
    ck_assert_str_eq(json_string_value(at(root, "model")), "store");
    ck_assert_ptr_nonnull(strstr(json_string_value(at(root, "collector.name")), "\"quoted\""));
    json_decref(root);
    fixture_done(&x);
}
END_TEST

START_TEST(compare_keys)
{
    fixture x = {.seed = 1};
    const fixture_build builds[] = {fixture_glazed, fixture_bare, fixture_glazed};
    nr_compare *c = fixture_compare(&x, builds, 3);
    c->difference[2].heat_up_s = fixture_unknown(NR_UNIT_S);
    c->exchanged[0] = "sun";
    c->exchanged_count = 1;
    c->all_k[NR_BY_ETA0] = c->all_k[NR_BY_A1] = c->all_k[NR_BY_TIME] = 2.4;
    char *text = NULL;
    size_t size;
    nr_err err;
    FILE *to = open_memstream(&text, &size);
    ck_assert_int_eq(nr_json_compare(to, c, &err), NR_OK);
    fclose(to);
    json_t *root = read_back(text);
    ck_assert_uint_eq(json_array_size(at(root, "builds")), 3);
    json_t *build = json_array_get(at(root, "builds"), 1);
    is_quantity(build, "parameters.a1", &c->build[1]->a1);
    ck_assert_uint_eq(json_array_size(at(root, "differences")), 3);
    json_t *d = json_array_get(at(root, "differences"), 0);
    ck_assert_str_eq(json_string_value(at(d, "of")), "Glazed wash stand");
    ck_assert_str_eq(json_string_value(at(d, "against")), "Bare wash stand");
    is_quantity(d, "eta0", &c->difference[0].eta0);
    is_quantity(d, "a1", &c->difference[0].a1);
    is_quantity(d, "heat_up_s", &c->difference[0].heat_up_s);
    same(d, "probability_better", c->difference[0].probability_better);
    is_null(json_array_get(at(root, "differences"), 2), "heat_up_s");
    /* Each with its own 95 %, and the wider one that holds for all pairs together. */
    same(d, "eta0.lo95", c->difference[0].eta0.lo95);
    NEAR(json_number_value(json_array_get(at(d, "all_pairs.eta0"), 1)),
         c->difference[0].eta0.value + 2.4 * c->difference[0].eta0.u, 1e-12);
    is_null(json_array_get(at(root, "differences"), 2), "all_pairs.heat_up_s");
    ck_assert_uint_eq(json_array_size(at(root, "ranking")), 3);
    for (size_t i = 0; i < 3; i++) {
        json_t *r = json_array_get(at(root, "ranking"), i);
        same(r, "rank", (double)(i + 1));
        same(r, "build", (double)c->rank[i].build);
        same(r, "rank_lo95", 1);
        same(r, "rank_hi95", 3);
        ck_assert_str_eq(json_string_value(at(r, "group")), c->rank[i].letters);
        is_quantity(r, "time_s", &c->heat_up[c->rank[i].build].time_s);
        is_quantity(r, "eta0", &c->build[c->rank[i].build]->eta0);
        is_quantity(r, "a1", &c->build[c->rank[i].build]->a1);
    }
    same(root, "reference_day.irradiance_W_m2", 900);
    same(root, "reference_day.air_degC", 22);
    same(root, "reference_day.store_kg", 40);
    same(root, "reference_day.from_degC", 15);
    same(root, "reference_day.to_degC", 40);
    is_null(root, "reference_day.wind_m_s");
    ck_assert_uint_eq(json_array_size(at(root, "exchanged")), 1);
    ck_assert_str_eq(json_string_value(json_array_get(at(root, "exchanged"), 0)), "sun");
    char verdict[NR_TELL];
    nr_tell_compare_verdict(verdict, sizeof verdict, c, NR_UNITS_SI);
    ck_assert_str_eq(json_string_value(at(root, "verdict")), verdict);
    json_decref(root);
    fixture_done(&x);
}
END_TEST

START_TEST(predict_keys)
{
    fixture x = {.seed = 1};
    for (int reached = 0; reached < 2; reached++) {
        nr_predict *p = fixture_predict(&x, reached == 1, reached == 0);
        char *text = NULL;
        size_t size;
        nr_err err;
        FILE *to = open_memstream(&text, &size);
        ck_assert_int_eq(nr_json_predict(to, p, &err), NR_OK);
        fclose(to);
        json_t *root = read_back(text);
        if (p->time_s.known)
            is_quantity(root, "time_s", &p->time_s);
        else
            is_null(root, "time_s");
        ck_assert_int_eq(json_is_true(at(root, "reached")), p->reached);
        is_quantity(root, "final_degC", &p->final_degC);
        ck_assert_uint_eq(json_array_size(at(root, "trace")), p->count);
        json_t *t = json_array_get(at(root, "trace"), 60);
        same(t, "time_s", 3600);
        same(t, "store_degC", p->trace[60].store_degC);
        same(t, "lo95", p->trace[60].lo95);
        same(t, "hi95", p->trace[60].hi95);
        ck_assert(json_is_object(at(root, "day")));
        if (reached == 0)
            ck_assert_str_eq(json_string_value(at(root, "day.date")), "2026-06-19");
        ck_assert_uint_eq(json_array_size(at(root, "cautions")), 1);
        json_decref(root);
    }
    fixture_done(&x);
}
END_TEST

START_TEST(inspect_keys)
{
    fixture x = {.seed = 1};
    nr_run *run;
    nr_inspect *i = fixture_inspect(&x, 9, &run);
    char *text = NULL;
    size_t size;
    nr_err err;
    FILE *to = open_memstream(&text, &size);
    ck_assert_int_eq(nr_json_inspect(to, i, &err), NR_OK);
    fclose(to);
    json_t *root = read_back(text);
    ck_assert_int_eq(json_integer_value(at(root, "rows")), 5400);
    same(root, "duration_s", 5400);
    same(root, "interval_s", 1);
    json_t *channel = json_array_get(at(root, "channels"), 3);
    ck_assert_str_eq(json_string_value(at(channel, "name")), "air");
    ck_assert_int_eq(json_integer_value(at(channel, "valid")), (json_int_t)i->channel[3].valid);
    same(channel, "min", i->channel[3].min);
    same(channel, "max", i->channel[3].max);
    same(channel, "stuck_s", 0);
    ck_assert_int_eq(json_integer_value(at(channel, "spikes")), 0);
    json_t *gap = json_array_get(at(root, "gaps"), 0);
    same(gap, "start_s", 3120);
    same(gap, "length_s", 300);
    json_t *finding = json_array_get(at(root, "findings"), 1);
    ck_assert_str_eq(json_string_value(at(finding, "code")), "stuck");
    ck_assert_str_eq(json_string_value(at(finding, "severity")), "fault");
    ck_assert(json_is_string(at(finding, "text")));
    ck_assert_uint_eq(json_array_size(at(root, "usable_for")), 2);
    json_decref(root);
    fixture_done(&x);
}
END_TEST

static json_t *item(json_t *root, const char *list, size_t i)
{
    json_t *j = json_array_get(at(root, list), i);
    ck_assert_msg(j != NULL, "%s has no %zu", list, i);
    return j;
}

static void same_text(json_t *root, const char *path, const char *words)
{
    ck_assert_str_eq(json_string_value(at(root, path)), words);
}

static void maybe_quantity(json_t *root, const char *path, const nr_quantity *q)
{
    if (q->known)
        is_quantity(root, path, q);
    else
        is_null(root, path);
}

static json_t *written(char **text, FILE *to, nr_code code)
{
    ck_assert_int_eq(code, NR_OK);
    fclose(to);
    return read_back(*text);
}

static void same_points(json_t *trace, const nr_heat_up *h)
{
    ck_assert_uint_eq(json_array_size(trace), h->count);
    for (size_t i = 0; i < h->count; i++) {
        json_t *t = json_array_get(trace, i);
        same(t, "time_s", h->t_s[i]);
        same(t, "store_degC", h->store_degC[i]);
        same(t, "lo95", h->lo95[i]);
        same(t, "hi95", h->hi95[i]);
    }
}

/* All pairs together: the factor of each of the three that are compared. */
static void same_difference(json_t *j, const nr_compare *c, const nr_difference *d)
{
    static const char *const key[] = {"all_pairs.eta0", "all_pairs.a1", "all_pairs.heat_up_s"};
    const nr_quantity *q[] = {&d->eta0, &d->a1, &d->heat_up_s};
    same_text(j, "of", c->label[d->of]);
    same_text(j, "against", c->label[d->against]);
    maybe_quantity(j, "eta0", &d->eta0);
    maybe_quantity(j, "a1", &d->a1);
    maybe_quantity(j, "heat_up_s", &d->heat_up_s);
    maybe_quantity(j, "crossing", &d->crossing);
    same(j, "probability_better", d->probability_better);
    same(j, "confidence_adjusted", d->confidence_adjusted);
    same(j, "power", d->power);
    if (d->crossing_known)
        same(j, "crossing_K", d->crossing_K);
    else
        is_null(j, "crossing_K");
    for (int k = 0; k < 3; k++) {
        if (!q[k]->known) {
            is_null(j, key[k]);
            continue;
        }
        double wide = (2.1 + 0.3 * k) * q[k]->u;
        NEAR(json_number_value(item(j, key[k], 0)), q[k]->value - wide, 1e-9);
        NEAR(json_number_value(item(j, key[k], 1)), q[k]->value + wide, 1e-9);
    }
}

/* Every build, place and pair, each number another one. */
START_TEST(compare_in_full)
{
    fixture x = {.seed = 1};
    const fixture_build builds[] = {fixture_glazed, fixture_bare, fixture_glazed};
    nr_compare *c = fixture_compare(&x, builds, 3);
    static const char *const names[] = {"left", "middle", "right"};
    for (size_t i = 0; i < 3; i++) {
        snprintf(c->label[i], sizeof c->label[i], "%s", names[i]);
        c->heat_up[i].probability_reached = 0.5 + 0.125 * (double)i;
        c->rank[i] = (nr_rank){2 - i, 1 + i / 2, 2 + i / 2, 0.5 / (double)(i + 1), "x"};
        c->rank[i].letters[0] = "abc"[i];
        c->all_k[i] = 2.1 + 0.3 * (double)i;
        c->difference[i].probability_better = 0.25 * (double)i;
        c->difference[i].confidence_adjusted = 0.98 + 0.005 * (double)i;
        c->difference[i].power = 0.5 + 0.25 * (double)i;
        c->difference[i].crossing_known = i == 1;
        c->difference[i].crossing_K = 30 + (double)i;
    }
    c->difference[1].crossing = fixture_quantity(31, 2, 1, NR_UNIT_K);
    c->difference[2].heat_up_s = fixture_unknown(NR_UNIT_S);
    c->day.wind_m_s = 1.75;
    c->exchanged[0] = "sun";
    c->exchanged[1] = "flow";
    c->exchanged_count = 2;
    char *text = NULL;
    size_t size;
    nr_err err;
    FILE *to = open_memstream(&text, &size);
    json_t *root = written(&text, to, nr_json_compare(to, c, &err));
    same_text(root, "program", "noonfit");
    same_text(root, "version", NOONRUN_VERSION);
    for (size_t i = 0; i < 3; i++) {
        ck_assert_str_eq(json_string_value(item(root, "labels", i)), names[i]);
        is_quantity(item(root, "builds", i), "parameters.eta0", &c->build[i]->eta0);
        json_t *h = item(root, "heat_up", i), *r = item(root, "ranking", i);
        maybe_quantity(h, "time_s", &c->heat_up[i].time_s);
        same(h, "probability_reached", c->heat_up[i].probability_reached);
        same_points(at(h, "trace"), &c->heat_up[i]);
        same_text(r, "label", names[2 - i]);
        same(r, "build", (double)(2 - i));
        same(r, "rank", (double)i + 1);
        same(r, "rank_lo95", (double)c->rank[i].lo95);
        same(r, "rank_hi95", (double)c->rank[i].hi95);
        same_text(r, "group", c->rank[i].letters);
        same(r, "probability_first", 0.5 / (double)(i + 1));
        maybe_quantity(r, "time_s", &c->heat_up[2 - i].time_s);
        same_difference(item(root, "differences", i), c, &c->difference[i]);
    }
    same(root, "reference_day.wind_m_s", 1.75);
    ck_assert(json_is_true(at(root, "reference_day.stated")));
    ck_assert_str_eq(json_string_value(item(root, "exchanged", 1)), "flow");
    ck_assert_uint_eq(json_array_size(at(root, "warnings")), c->warnings.count);
    same_text(item(root, "warnings", 0), "code", nr_warning_name(c->warnings.item[0].code));
    same_text(root, "trust.grade", nr_trust_grade(&c->trust));
    json_decref(root);
    fixture_done(&x);
}
END_TEST

static void same_trace(json_t *root, const nr_predict *p)
{
    ck_assert_uint_eq(json_array_size(at(root, "trace")), p->count);
    for (size_t i = 0; i < p->count; i++) {
        json_t *t = item(root, "trace", i);
        same(t, "time_s", p->trace[i].t_s);
        same(t, "store_degC", p->trace[i].store_degC);
        same(t, "lo95", p->trace[i].lo95);
        same(t, "hi95", p->trace[i].hi95);
        same(t, "irradiance_W_m2", p->trace[i].sun_W_m2);
    }
}

START_TEST(predict_in_full)
{
    fixture x = {.seed = 1};
    for (int clear = 0; clear < 2; clear++) {
        nr_predict *p = fixture_predict(&x, true, clear == 1);
        p->u_parameter = 11;
        p->u_model = 12;
        p->u_weather = 13;
        p->outside_tested = clear == 0;
        p->probability_reached = 0.875;
        p->day = (nr_day){.clear_sky = clear == 1,
                          .sun_W_m2 = 801,
                          .air_degC = 21,
                          .wind_m_s = 1.5,
                          .date_s = 1782000000.0,
                          .start_s = 32400,
                          .latitude_deg = 46.5,
                          .longitude_deg = 7.25,
                          .tilt_deg = 35,
                          .azimuth_deg = 185,
                          .re_aimed = true,
                          .water_kg = 41.5,
                          .store_loss_W_K = 2.5,
                          .from_degC = 14.5,
                          .to_degC = 40.5};
        char *text = NULL, sentence[NR_TELL];
        size_t size;
        nr_err err;
        FILE *to = open_memstream(&text, &size);
        json_t *root = written(&text, to, nr_json_predict(to, p, &err));
        same_text(root, "program", "noonfit");
        same_text(root, "version", NOONRUN_VERSION);
        same(root, "uncertainty.parameters", 11);
        same(root, "uncertainty.model", 12);
        same(root, "uncertainty.weather", 13);
        same(root, "probability_reached", 0.875);
        ck_assert_int_eq(json_is_true(at(root, "outside_tested")), clear == 0);
        same_trace(root, p);
        static const struct {
            const char *key;
            double is;
        } day[] = {{"air_degC", 21},        {"wind_m_s", 1.5},      {"store_kg", 41.5},
                   {"store_loss_W_K", 2.5}, {"from_degC", 14.5},    {"to_degC", 40.5},
                   {"start_s", 32400},      {"latitude_deg", 46.5}, {"longitude_deg", 7.25},
                   {"tilt_deg", 35},        {"azimuth_deg", 185}};
        for (size_t i = 0; i < (clear ? 11u : 6u); i++)
            same(at(root, "day"), day[i].key, day[i].is);
        ck_assert_uint_eq(json_object_size(at(root, "day")), clear ? 15 : 8);
        ck_assert_int_eq(json_is_true(at(root, "day.clear_sky")), clear);
        if (clear) {
            same_text(root, "day.date", "2026-06-21");
            ck_assert(json_is_true(at(root, "day.re_aimed")));
            is_null(root, "day.irradiance_W_m2");
        } else {
            same(root, "day.irradiance_W_m2", 801);
        }
        nr_tell_predict(sentence, sizeof sentence, p, NR_UNITS_SI);
        same_text(root, "sentence", sentence);
        nr_tell_predict_remedy(sentence, sizeof sentence, p, NR_UNITS_SI);
        same_text(root, "remedy", sentence);
        same_text(root, "trust.grade", nr_trust_grade(&p->fit->trust));
        json_decref(root);
    }
    fixture_done(&x);
}
END_TEST

static void same_finding(json_t *j, const nr_finding *f)
{
    char text[NR_TELL];
    same_text(j, "code", nr_finding_name(f->code));
    same_text(j, "severity", nr_severity_word(f->severity));
    same_text(j, "channel", f->channel);
    same(j, "from_s", f->from_s);
    same(j, "to_s", f->to_s);
    nr_tell_finding(text, sizeof text, f, NR_UNITS_SI);
    same_text(j, "text", text);
    nr_tell_finding_advice(text, sizeof text, f, NR_UNITS_SI);
    same_text(j, "advice", text);
}

static void same_record(json_t *root, const nr_inspect *x)
{
    char text[NR_TELL];
    same_text(root, "folder", x->folder);
    same_text(root, "title", x->title);
    same(root, "rows", (double)x->rows);
    same(root, "duration_s", x->duration_s);
    same(root, "interval_s", x->interval_s);
    same(root, "steady_windows", (double)x->steady_windows);
    ck_assert(json_number_value(item(root, "incidence_deg", 0)) == x->incidence_lo_deg);
    ck_assert(json_number_value(item(root, "incidence_deg", 1)) == x->incidence_hi_deg);
    nr_tell_inspect(text, sizeof text, x, NR_UNITS_SI);
    same_text(root, "sentence", text);
    ck_assert_uint_eq(json_array_size(at(root, "channels")), x->channels);
    ck_assert_uint_eq(json_array_size(at(root, "gaps")), x->gaps);
    ck_assert_uint_eq(json_array_size(at(root, "findings")), x->findings);
    for (size_t i = 0; i < x->channels; i++) {
        const nr_channel_summary *c = &x->channel[i];
        json_t *j = item(root, "channels", i);
        same_text(j, "name", c->name);
        same_text(j, "unit", c->unit);
        same(j, "valid", (double)c->valid);
        same(j, "min", c->min);
        same(j, "max", c->max);
        same(j, "mean", c->mean);
        same(j, "stuck_s", c->stuck_s);
        same(j, "spikes", (double)c->spikes);
        same(j, "noise", c->noise);
    }
    for (size_t i = 0; i < x->gaps; i++) {
        same(item(root, "gaps", i), "start_s", x->gap[i].start_s);
        same(item(root, "gaps", i), "length_s", x->gap[i].length_s);
    }
    for (size_t i = 0; i < x->findings; i++)
        same_finding(item(root, "findings", i), &x->finding[i]);
}

/* One record by itself, and a list of two, of which each serves for one thing. */
START_TEST(inspect_in_full)
{
    fixture x = {.seed = 1};
    nr_run *run;
    nr_inspect *two[] = {fixture_inspect(&x, 9, &run), fixture_inspect(&x, 4, &run)};
    for (size_t i = 0; i < 2; i++) {
        two[i]->gaps = 2;
        two[i]->gap[1] = (nr_gap){4000 + (double)i, 31};
        two[i]->rows += i;
        two[i]->usable_for_store = i == 0;
        two[i]->usable_for_loop = i == 1;
        for (size_t k = 0; k < two[i]->channels; k++) {
            two[i]->channel[k].stuck_s = 5 + (double)k;
            two[i]->channel[k].spikes = 3 + k;
        }
    }
    snprintf(two[1]->refusal, sizeof two[1]->refusal, "nothing to say");
    snprintf(two[1]->refusal_code, sizeof two[1]->refusal_code, "no-answer");
    char *text = NULL;
    size_t size;
    nr_err err;
    FILE *to = open_memstream(&text, &size);
    json_t *root = written(&text, to, nr_json_inspects(to, two, 2, &err));
    same_text(root, "program", "noonfit");
    same_text(root, "version", NOONRUN_VERSION);
    ck_assert_uint_eq(json_array_size(at(root, "collectors")), 2);
    for (size_t i = 0; i < 2; i++) {
        json_t *one = item(root, "collectors", i);
        same_record(one, two[i]);
        ck_assert_uint_eq(json_array_size(at(one, "usable_for")), 1);
        ck_assert_str_eq(json_string_value(item(one, "usable_for", 0)), i ? "loop" : "store");
    }
    is_null(item(root, "collectors", 0), "refusal");
    same_text(item(root, "collectors", 1), "refusal.code", "no-answer");
    same_text(item(root, "collectors", 1), "refusal.text", "nothing to say");
    json_decref(root);
    fixture_done(&x);
}
END_TEST

START_TEST(full_disk)
{
    fixture x = {.seed = 1};
    nr_err err;
    char buffer[1 << 18]; /* holds all of it: the failure comes with the last flush */
    FILE *full = fopen("/dev/full", "w");
    ck_assert_ptr_nonnull(full);
    ck_assert_int_eq(setvbuf(full, buffer, _IOFBF, sizeof buffer), 0);
    ck_assert_int_eq(nr_json_fit(full, fixture_fit(&x, &fixture_glazed, 1), &err), NR_BAD);
    (void)fclose(full);
    fixture_done(&x);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        fit_keys,        not_known_is_null, compare_keys,    predict_keys, inspect_keys,
        compare_in_full, predict_in_full,   inspect_in_full, full_disk,    NULL};
    return run_tests("json", tests);
}
