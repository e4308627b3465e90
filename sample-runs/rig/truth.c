/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The truth as JSON: what a fit of this run should have found. */
#include "sample-runs/rig/instrument.h"
#include "sample-runs/rig/virtual.h"

#include <jansson.h>
#include <math.h>

#define CURVE_POINTS 9
/* A parabola wants at least this much of the curve, m2 K/W. */
#define NARROWEST 0.01
#define DAY_LIMIT_S 86400.0

/* NAN has no JSON number: null. */
static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static void put(json_t *object, const char *name, double value)
{
    json_object_set_new(object, name, number(value));
}

static json_t *device_json(const nr_virtual_device *d)
{
    json_t *o = json_object();
    put(o, "gross_area_m2", d->area_m2);
    put(o, "optical", d->optical);
    put(o, "iam_b0", d->iam_b0);
    put(o, "absorber_J_K", d->absorber_J_K);
    put(o, "cover_J_K", d->cover ? d->cover_J_K : 0.0);
    put(o, "fluid_kg", d->fluid_kg);
    put(o, "water_kg", d->water_kg);
    put(o, "store_dry_J_K", d->store_dry_J_K);
    put(o, "store_loss_W_K", d->store_loss_W_K);
    return o;
}

static json_t *conditions_json(const nr_virtual_conditions *c)
{
    json_t *o = json_object();
    put(o, "sun_W_m2", c->sun_W_m2);
    put(o, "air_degC", c->air_degC);
    put(o, "wind_m_s", c->wind_m_s);
    put(o, "flow_L_min", c->flow_L_min);
    return o;
}

typedef struct parabola {
    double eta0, a1, a2;
} parabola;

/* eta0: the curve at 0; a1, a2: the parabola through its values at 0, half of and all of the way
 * to `far`, in temperature differences at this irradiance. A description of the curve for the
 * reader; to judge a fit, compare curves. */
static parabola describe(const nr_virtual_device *d, const nr_virtual_conditions *c,
                         nr_virtual_basis basis, bool with_store, double far)
{
    double eta0 = nr_virtual_steady(d, c, 0.0, basis, with_store).eta;
    double half = nr_virtual_steady(d, c, 0.5 * far, basis, with_store).eta;
    double full = nr_virtual_steady(d, c, far, basis, with_store).eta;
    double rise = far * c->sun_W_m2;
    double drop_half = (eta0 - half) * c->sun_W_m2 / (0.5 * rise);
    double drop_full = (eta0 - full) * c->sun_W_m2 / rise;
    return (parabola){eta0, 2.0 * drop_half - drop_full, (drop_full - drop_half) / (0.5 * rise)};
}

static json_t *curve_json(const nr_virtual_device *d, const nr_virtual_conditions *c,
                          nr_virtual_basis basis, bool with_store, double near, double far)
{
    json_t *o = json_object(), *points = json_array();
    parabola shape = describe(d, c, basis, with_store, far);
    put(o, "eta0", shape.eta0);
    put(o, "a1", shape.a1);
    put(o, "a2", shape.a2);
    for (int i = 0; i < CURVE_POINTS; i++) {
        double x = near + (far - near) * i / (CURVE_POINTS - 1);
        json_t *point = json_object();
        put(point, "reduced_temperature", x);
        put(point, "eta", nr_virtual_steady(d, c, x, basis, with_store).eta);
        json_array_append_new(points, point);
    }
    json_object_set_new(o, "curve", points);
    return o;
}

static json_t *ledger_json(const nr_virtual_ledger *l)
{
    json_t *o = json_object();
    put(o, "sun_J", l->sun);
    put(o, "absorbed_J", l->absorbed);
    put(o, "pump_J", l->pump);
    put(o, "water_J", l->water);
    put(o, "store_dry_J", l->dry);
    put(o, "collector_J", l->collector);
    put(o, "pipes_J", l->pipes);
    put(o, "collector_loss_J", l->collector_loss);
    put(o, "store_loss_J", l->store_loss);
    put(o, "pipe_loss_J", l->pipe_loss);
    return o;
}

static json_t *sensors_json(const nr_virtual_params *p)
{
    json_t *o = json_object();
    for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
        if (!(p->channels & NR_VC_BIT(c))) {
            continue;
        }
        char identity[NR_NAME];
        double offset, gain;
        nr_instrument_identity(p, c, identity);
        nr_virtual_sensor_error(p, c, &offset, &gain);
        json_t *s = json_object();
        json_object_set_new(s, "sensor", json_string(identity));
        put(s, "offset", offset);
        put(s, "gain", gain);
        json_object_set_new(o, nr_virtual_channel_name(c), s);
    }
    return o;
}

/* Something to describe the curve by: the pump ran, the sun shone. */
static bool has_curve(const nr_virtual_run *run)
{
    return run->mean.flow_L_min > 0.0 && run->mean.sun_W_m2 > 0.0 &&
           run->reduced_hi > run->reduced_lo;
}

static void put_curves(json_t *o, const nr_virtual_run *run)
{
    const nr_virtual_device *d = &run->device;
    nr_virtual_conditions c = run->mean;
    if (!has_curve(run)) {
        json_object_set_new(o, "inlet", json_null());
        return;
    }
    double near = run->reduced_lo, far = fmax(run->reduced_hi, NARROWEST);
    json_object_set_new(o, "inlet", curve_json(d, &c, NR_BASIS_INLET, false, near, far));
    json_object_set_new(o, "mean", curve_json(d, &c, NR_BASIS_MEAN, false, near, far));
    json_object_set_new(o, "inlet_with_store", curve_json(d, &c, NR_BASIS_INLET, true, near, far));
    json_object_set_new(o, "mean_with_store", curve_json(d, &c, NR_BASIS_MEAN, true, near, far));
    c.sun_W_m2 = 1000.0;
    put(o, "stagnation_K", nr_virtual_stagnation_K(d, &c));
}

static nr_virtual_conditions judged_day(const nr_virtual_params *p)
{
    return (nr_virtual_conditions){900.0, 20.0, 1.5, p->flow_L_min};
}

static double day_heat_up_s(const nr_virtual_run *run, const nr_virtual_params *p)
{
    nr_virtual_conditions c = judged_day(p);
    return nr_virtual_heat_up_s(&run->device, &c, p->stated.water_kg, NR_VIRTUAL_DAY_FROM_DEGC,
                                NR_VIRTUAL_DAY_TO_DEGC, DAY_LIMIT_S);
}

static json_t *day_json(const nr_virtual_run *run, const nr_virtual_params *p)
{
    nr_virtual_conditions c = judged_day(p);
    json_t *o = conditions_json(&c);
    put(o, "store_kg", p->stated.water_kg);
    put(o, "from_degC", NR_VIRTUAL_DAY_FROM_DEGC);
    put(o, "to_degC", NR_VIRTUAL_DAY_TO_DEGC);
    put(o, "heat_up_s", day_heat_up_s(run, p));
    return o;
}

nr_code nr_virtual_truth_sentence(const nr_virtual_run *run, const nr_virtual_params *p, FILE *to,
                                  nr_err *err)
{
    if (!has_curve(run)) {
        return nr_fail(err, NR_CANNOT, NULL, 0, "the pump never ran in the sun: no curve to tell");
    }
    double far = fmax(run->reduced_hi, NARROWEST);
    parabola shape = describe(&run->device, &run->mean, NR_BASIS_MEAN, false, far);
    nr_virtual_conditions day = judged_day(p);
    int n = fprintf(to, "%s in truth: eta0 %.3f, a1 %.2f W/(m2 K)", p->build, shape.eta0, shape.a1);
    double heat_up_s = day_heat_up_s(run, p);
    if (n > 0 && isfinite(heat_up_s)) {
        n = fprintf(to, "; %g kg from %g to %g degC at %g W/m2 and %g degC air in %.0f minutes",
                    p->stated.water_kg, NR_VIRTUAL_DAY_FROM_DEGC, NR_VIRTUAL_DAY_TO_DEGC,
                    day.sun_W_m2, day.air_degC, heat_up_s / 60.0);
    }
    bool ok = n > 0 && fputs(".\n", to) != EOF && fflush(to) == 0;
    return ok ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "the truth could not be written");
}

nr_code nr_virtual_truth_json(const nr_virtual_run *run, const nr_virtual_params *p, FILE *to,
                              nr_err *err)
{
    json_t *o = json_object();
    json_object_set_new(o, "build", json_string(p->build));
    json_object_set_new(o, "rig_seed", json_integer((json_int_t)p->rig_seed));
    json_object_set_new(o, "day_seed", json_integer((json_int_t)p->day_seed));
    json_object_set_new(o, "device", device_json(&run->device));
    json_object_set_new(o, "mean_conditions", conditions_json(&run->mean));
    put(o, "running_share", run->running_share);
    put(o, "incidence_lo_deg", run->incidence_lo_deg);
    put(o, "incidence_hi_deg", run->incidence_hi_deg);
    put_curves(o, run);
    json_object_set_new(o, "reference_day", day_json(run, p));
    put(o, "run_efficiency", run->ledger.water / run->ledger.sun);
    json_object_set_new(o, "ledger", ledger_json(&run->ledger));
    json_object_set_new(o, "sensor_errors", sensors_json(p));
    int failed = json_dumpf(o, to, JSON_INDENT(2) | JSON_REAL_PRECISION(10));
    failed |= fputc('\n', to) == EOF || fflush(to) != 0;
    json_decref(o);
    return failed ? nr_fail(err, NR_BAD, NULL, 0, "the truth could not be written") : NR_OK;
}
