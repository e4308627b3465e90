/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/bath/bath_keys.h"

#include "analyze/physics/atmosphere.h"
#include "logger/base/text.h"

#include <math.h>
#include <string.h>

/* A bath that changes by more while it is read compares the probes' lags, not the probes. Common
 * practice, no source. */
#define BATH_CHANGE_MOST_K 2.0
#define NORMAL_95 1.96

bool nr_bath_boiling(double pressure_Pa, double elevation_m, double *degC, double *u_K)
{
    double u_Pa = isnan(pressure_Pa) ? NR_WEATHER_U_PA : NR_STATION_U_PA;
    double at_Pa = isnan(pressure_Pa) ? nr_pressure_at_elevation_Pa(elevation_m) : pressure_Pa;
    double slope = (nr_boiling_degC(at_Pa + 100.0) - nr_boiling_degC(at_Pa - 100.0)) / 200.0;
    *degC = nr_boiling_degC(at_Pa);
    *u_K = hypot(slope * u_Pa, NR_BOILING_U_K);
    return !isnan(*degC) && !isnan(*u_K);
}

static bool is_thermometer(const nr_rig *rig, size_t c)
{
    if (rig->channel[c].unit->dimension != NR_DIM_TEMPERATURE)
        return false;
    for (size_t i = 0; i < rig->channels; i++)
        if (strcmp(rig->channel[i].cold_channel, rig->channel[c].name) == 0)
            return false;
    return true;
}

size_t nr_bath_default_probes(const nr_rig *rig, const nr_bath_plan *plan,
                              size_t probe[NR_RIG_CHANNELS])
{
    size_t count = 0;
    for (size_t c = 0; c < rig->channels; c++)
        if (is_thermometer(rig, c) && !(plan->kind == NR_BATH_CHANNEL && plan->reference == c))
            probe[count++] = c;
    return count;
}

static bool is_whole(const nr_rig *rig, const nr_bath_plan *plan, const size_t *probe, size_t n)
{
    for (size_t c = 0; c < rig->channels; c++) {
        bool in =
            !is_thermometer(rig, c) || (plan->kind == NR_BATH_CHANNEL && plan->reference == c);
        for (size_t i = 0; i < n; i++)
            in = in || probe[i] == c;
        if (!in)
            return false;
    }
    return true;
}

static nr_code solve_one(const nr_rig *rig, const nr_bath_plan *plan, const nr_bath_rows *rows,
                         const size_t *probe, size_t n, nr_bath_probe *out, nr_bath_result *result,
                         nr_err *err)
{
    const double *value[NR_RIG_CHANNELS];
    nr_err own;
    for (size_t i = 0; i < n; i++)
        value[i] = rows->value[probe[i]];
    bool stated = plan->kind >= NR_BATH_STATED;
    nr_bath bath = {.rows = rows->rows,
                    .probes = n,
                    .time_s = rows->time_s,
                    .value = value,
                    .reference =
                        plan->kind == NR_BATH_CHANNEL ? rows->value[plan->reference] : NULL,
                    .reference_degC = stated ? plan->degC : NAN,
                    .u_reference_K = plan->u_K,
                    .u_place_K = plan->u_place_K};
    nr_code code = nr_bath_solve(&bath, out, result, &own);
    if (code == NR_OK) {
        double minutes = (rows->time_s[rows->rows - 1] - rows->time_s[0]) / 60;
        double change = result->bath_rate_K_min * minutes;
        if (!(fabs(change) > BATH_CHANGE_MOST_K))
            return NR_OK;
        return nr_fail(err, NR_CANNOT, NULL, 0,
                       "the water changed by %.1f K while it was read, which is no bath: tie the "
                       "thermometers together in one stirred, insulated vessel and wait until it "
                       "stands still",
                       change);
    }
    /* Name the thermometers that are to blame: calibrate.h only knows numbers. */
    for (size_t i = 0; i < n; i++) {
        size_t good = 0;
        for (size_t row = 0; row < rows->rows; row++)
            good += isnan(value[i][row]) ? 0 : 1;
        if (good < NR_BATH_ROWS_MIN)
            return nr_fail(
                err, code, NULL, 0,
                "%s gave %zu readings in %zu rows, and %d are needed; mend it or leave it "
                "out with --only",
                rig->channel[probe[i]].name, good, rows->rows, NR_BATH_ROWS_MIN);
    }
    return nr_fail(err, code, NULL, 0, "%s", own.text);
}

/* The common part where it belongs into u_offset. */
static double u_common(const nr_bath_report *r, size_t bath)
{
    return r->whole || isnan(r->bath[bath].u_common_K) ? 0.0 : r->bath[bath].u_common_K;
}

static double in_unit(const nr_unit *unit, double difference_K)
{
    return nr_unit_difference_from_canonical(unit, difference_K);
}

static void one_point(const nr_rig_channel *channel, nr_bath_key_set *set, double u_shared_K)
{
    set->offset = in_unit(channel->unit, channel->correct_offset + set->probe[0].correction_K);
    set->u_offset = in_unit(channel->unit, hypot(set->probe[0].u_own_K, u_shared_K));
}

/* A law with its own coefficients has no gain key: one offset, right half way between the baths. */
static void middle(const nr_rig_channel *channel, nr_bath_key_set *set, double u_shared_K)
{
    double first = set->probe[0].correction_K, second = set->probe[1].correction_K;
    double own = 0.5 * hypot(set->probe[0].u_own_K, set->probe[1].u_own_K);
    set->rest_K = (second - first) / 2.0;
    set->offset = in_unit(channel->unit, channel->correct_offset + (first + second) / 2.0);
    set->u_offset =
        in_unit(channel->unit, sqrt(own * own + u_shared_K * u_shared_K +
                                    set->rest_K * set->rest_K / 3.0)); /* rectangle +-rest */
}

/* true = G reading + O in degC, the reading being gain * raw + offset in the channel's unit. With
 * degC = f x + k that is x_true = G x + (O + k (G - 1))/f. */
static nr_code line(const nr_rig_channel *channel, const nr_bath_report *r, nr_bath_key_set *set,
                    nr_err *err)
{
    nr_two_point_in in;
    for (int b = 0; b < 2; b++) {
        in.true_degC[b] = r->plan[b].degC;
        in.u_true_K[b] = u_common(r, (size_t)b);
        in.reading_degC[b] = r->plan[b].degC + set->probe[b].difference_K;
        in.u_reading_K[b] = set->probe[b].u_own_K;
    }
    nr_code code = nr_two_point_solve(&in, &set->line, err);
    if (code != NR_OK)
        return code;
    const nr_unit *unit = channel->unit;
    double old_gain = strcmp(channel->law->name, "linear") == 0 ? channel->coefficient[0] : 1.0;
    double moved_K = set->line.offset_K + unit->offset * (set->line.gain - 1.0);
    set->gain = set->line.gain * old_gain;
    set->u_gain = set->line.u_gain / set->line.gain;
    set->offset = in_unit(unit, set->line.gain * channel->correct_offset + moved_K);
    set->u_offset = in_unit(unit, set->line.u_offset_K);
    return NR_OK;
}

static bool takes_gain(const nr_rig_channel *channel)
{
    return strcmp(channel->law->name, "none") == 0 || strcmp(channel->law->name, "linear") == 0;
}

static nr_code make_keys(const nr_rig *rig, nr_bath_report *r, nr_bath_key_set *set, nr_err *err)
{
    const nr_rig_channel *channel = &rig->channel[set->channel];
    set->has_line = r->baths == 2 && takes_gain(channel);
    if (set->has_line)
        return line(channel, r, set, err);
    if (r->baths == 2)
        middle(channel, set, fmax(u_common(r, 0), u_common(r, 1)));
    else
        one_point(channel, set, u_common(r, 0));
    return NR_OK;
}

nr_code nr_bath_keys(const nr_rig *rig, const nr_bath_plan *plan, const nr_bath_rows *rows,
                     size_t baths, const size_t *probe, size_t probes, nr_bath_report *out,
                     nr_err *err)
{
    nr_bath_probe found[NR_RIG_CHANNELS];
    nr_code code = NR_OK;
    memset(out, 0, sizeof *out);
    out->baths = baths;
    out->probes = probes;
    out->whole = is_whole(rig, plan, probe, probes);
    if (probes == 0)
        return nr_fail(err, NR_CANNOT, NULL, 0, "there is no thermometer to compare");
    if (plan->kind == NR_BATH_RELATIVE && probes < 2)
        return nr_fail(
            err, NR_CANNOT, NULL, 0,
            "one probe alone has nothing to be compared with; say what the bath is: --at, "
            "--ice, --boiling or --reference");
    for (size_t b = 0; code == NR_OK && b < baths; b++) {
        out->plan[b] = plan[b];
        code = solve_one(rig, &plan[b], &rows[b], probe, probes, found, &out->bath[b], err);
        if (code != NR_OK)
            return code;
        out->length_s[b] = rows[b].time_s[rows[b].rows - 1] - rows[b].time_s[0];
        for (size_t i = 0; i < probes; i++)
            out->set[i].probe[b] = found[i];
    }
    for (size_t i = 0; code == NR_OK && i < probes; i++) {
        out->set[i].channel = probe[i];
        code = make_keys(rig, out, &out->set[i], err);
    }
    return code;
}

double nr_bath_spread_K(const nr_bath_report *r)
{
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < r->probes; i++) {
        low = fmin(low, r->set[i].probe[0].difference_K);
        high = fmax(high, r->set[i].probe[0].difference_K);
    }
    if (r->plan[0].kind == NR_BATH_CHANNEL) { /* the reference is one of them */
        low = fmin(low, 0.0);
        high = fmax(high, 0.0);
    }
    return high - low;
}

double nr_bath_left95_K(const nr_bath_report *r)
{
    double first = 0.0, second = 0.0; /* the two largest */
    for (size_t i = 0; i < r->probes; i++) {
        double u = r->set[i].probe[0].u_own_K;
        second = fmax(second, fmin(first, u));
        first = fmax(first, u);
    }
    return NORMAL_95 * hypot(first, second);
}

/* Decimals that show the uncertainty's second digit. */
static int decimals_for(double u)
{
    if (!(u > 0.0))
        return 4;
    double d = 1.0 - floor(log10(u));
    return d < 0.0 ? 0 : d > 6.0 ? 6 : (int)d;
}

static void put(nr_bath_entry *e, const char *key, double value, double u)
{
    e->key = key;
    nr_format_number(e->value, sizeof e->value, value, decimals_for(u));
}

size_t nr_bath_entries(const nr_bath_key_set *set, nr_bath_entry *out)
{
    size_t n = 0;
    if (set->has_line) {
        out[n].key = "convert";
        nr_copy(out[n++].value, NR_BATH_VALUE, "linear");
        put(&out[n++], "gain", set->gain, set->u_gain);
    }
    put(&out[n++], "offset", set->offset, set->u_offset);
    put(&out[n++], "u_offset", set->u_offset, set->u_offset);
    if (set->has_line)
        put(&out[n++], "u_gain", set->u_gain, set->u_gain);
    return n;
}
