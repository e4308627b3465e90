/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the virtual rig accepts: checked once, at the edge. */
#include "sample-runs/rig/virtual.h"

#include <math.h>
#include <string.h>

typedef struct bound {
    const char *name;
    double value, low, high;
} bound;

static nr_code in_bounds(const bound *b, size_t count, nr_err *err)
{
    for (size_t i = 0; i < count; i++) {
        if (!(b[i].value >= b[i].low && b[i].value <= b[i].high)) {
            return nr_fail(err, NR_BAD, NULL, 0, "virtual rig: %s is %g; it must be %g to %g",
                           b[i].name, b[i].value, b[i].low, b[i].high);
        }
    }
    return NR_OK;
}

static nr_code check_device(const nr_virtual_device *d, nr_err *err)
{
    const bound bounds[] = {
        {"gross area, m2", d->area_m2, 0.01, 100.0},
        {"absorbed share", d->optical, 0.0, 1.0},
        {"iam b0", d->iam_b0, 0.0, 1.0},
        {"absorber heat capacity, J/K", d->absorber_J_K, 1.0, 1e7},
        {"fluid, kg", d->fluid_kg, 0.001, 1000.0},
        {"bond, W/K", d->bond_W_K, 1e-6, 1e7},
        {"flow the bond is given at, L/min", d->bond_flow_L_min, 1e-3, 1e3},
        {"bond exponent", d->bond_exponent, 0.0, 1.0},
        {"u0", d->u0, 0.0, 1e3},
        {"u1", d->u1, 0.0, 10.0},
        {"uwind", d->uwind, 0.0, 1e3},
        {"gap0", d->gap0, d->cover ? 1e-3 : 0.0, 1e4},
        {"gap1", d->gap1, 0.0, 10.0},
        {"cover0", d->cover0, d->cover ? 1e-3 : 0.0, 1e4},
        {"coverwind", d->coverwind, 0.0, 1e3},
        {"cover heat capacity, J/K", d->cover_J_K, d->cover ? 1.0 : 0.0, 1e7},
        {"water, kg", d->water_kg, 0.1, 1e5},
        {"store dry heat capacity, J/K", d->store_dry_J_K, 0.0, 1e7},
        {"store loss, W/K", d->store_loss_W_K, 0.0, 1e4},
        {"mixing, W/K", d->mixing_W_K, 0.0, 1e5},
        {"mixing by flow", d->mixing_flow, 0.0, 100.0},
        {"water in a pipe, kg", d->pipe_kg, 0.0, 100.0},
        {"loss of a pipe, W/K", d->pipe_loss_W_K, 0.0, 1e3},
        {"pump heat, W", d->pump_heat_W, 0.0, 1e4},
    };
    return in_bounds(bounds, sizeof bounds / sizeof *bounds, err);
}

static nr_code check_test(const nr_virtual_params *p, nr_err *err)
{
    const bound bounds[] = {
        {"latitude", p->latitude_deg, -90.0, 90.0},
        {"longitude", p->longitude_deg, -180.0, 180.0},
        {"tilt", p->tilt_deg, 0.0, 180.0},
        {"azimuth", p->azimuth_deg, 0.0, 360.0},
        {"start, s since 1970", p->start_utc_s, 0.0, 4.1e9},
        {"clearness", p->clearness, 0.0, 1.5},
        {"air, degC", p->air_degC, -60.0, 60.0},
        {"air noise, K", p->air_noise_K, 0.0, 10.0},
        {"wind, m/s", p->wind_m_s, 0.0, 50.0},
        {"wind noise, m/s", p->wind_noise_m_s, 0.0, 20.0},
        {"duration, s", p->duration_s, p->interval_s, 14.0 * 86400.0},
        {"interval, s", p->interval_s, 0.05, 3600.0},
        {"store start above air, K", p->store_above_air_K, -60.0, 90.0},
        {"collector start above air, K", p->collector_above_air_K, -60.0, 150.0},
        {"flow, L/min", p->flow_L_min, 0.01, 1e3},
        {"panel start, W/m2", p->panel_start_W_m2, p->panel_stall_W_m2, 2000.0},
        {"panel stall, W/m2", p->panel_stall_W_m2, 0.0, 2000.0},
        {"u_area", p->u_area, 0.0, 0.2},
        {"u_water", p->u_water, 0.0, 0.2},
        {"u_fluid", p->u_fluid, 0.0, 0.2},
        {"u_absorber", p->u_absorber, 0.0, 0.5},
        {"u_store_dry", p->u_store_dry, 0.0, 0.3},
        {"u_store_loss", p->u_store_loss, 0.0, 1.0},
    };
    return in_bounds(bounds, sizeof bounds / sizeof *bounds, err);
}

static nr_code check_name(const char *what, const char *text, size_t limit, nr_err *err)
{
    /* ; and # start a comment in rig.ini. */
    if (!text[0] || strlen(text) > limit || strpbrk(text, "\r\n\t;#[]")) {
        return nr_fail(err, NR_BAD, NULL, 0,
                       "virtual rig: %s \"%s\" must have 1 to %zu characters and none of ; # [ ]",
                       what, text, limit);
    }
    return NR_OK;
}

nr_code nr_virtual_check(const nr_virtual_params *p, nr_err *err)
{
    nr_code code = check_name("build name", p->build, NR_NAME - 10, err);
    code = code ? code : check_name("title", p->title, sizeof p->title - 1, err);
    code = code ? code : check_name("port", p->port, sizeof p->port - 1, err);
    code = code ? code : check_device(&p->stated, err);
    code = code ? code : check_test(p, err);
    if (code) {
        return code;
    }
    if (p->channels == 0 || p->channels >= NR_VC_BIT(NR_VC_COUNT)) {
        return nr_fail(err, NR_BAD, NULL, 0, "virtual rig: no channel is measured");
    }
    for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
        const nr_virtual_sensor *s = &p->sensor[c];
        const bound bounds[] = {
            {"u_offset", s->u_offset, 0.0, 1e3}, {"u_gain", s->u_gain, 0.0, 1.0},
            {"lag, s", s->lag_s, 0.0, 3600.0},   {"noise", s->noise, 0.0, 1e3},
            {"step", s->step, 0.0, 1e3},         {"u_drift", s->u_drift, 0.0, 1e3}};
        code = in_bounds(bounds, sizeof bounds / sizeof *bounds, err);
        if (code) {
            return code;
        }
    }
    return NR_OK;
}
