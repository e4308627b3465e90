/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The two wash-stand builds, and how a real build differs from what its builder wrote down. */
#include "sample-runs/rig/virtual.h"

#include "logger/base/text.h"
#include "sample-runs/rig/chance.h"

#include <math.h>
#include <string.h>

/* 16 m of 6.35 x 0.762 mm copper tube: 46.0 J/(m K) and 18.29 mL/m (8940 kg/m3, 385 J/(kg K)). */
#define COIL_M 16.0
#define COIL_J_K (COIL_M * 46.0)
#define COIL_KG (COIL_M * 0.01829 * 0.998)
#define PLATE_J_K 2900.0 /* 0.96 m2 of blackened 0.8 mm aluminium and the face of its backing */

static const char *const channel_names[NR_VC_COUNT] = {"store", "inlet", "outlet", "air", "sun",
                                                       "flow",  "wind",  "pump",   "box"};

const char *nr_virtual_channel_name(nr_virtual_channel channel)
{
    return channel_names[channel];
}

static nr_virtual_device common_device(void)
{
    return (nr_virtual_device){
        .area_m2 = 0.96,
        .absorber_J_K = COIL_J_K + PLATE_J_K,
        .fluid_kg = COIL_KG,
        .bond_W_K = 106.0,
        .bond_flow_L_min = 1.0,
        .bond_exponent = 0.25,
        .water_kg = 36.0,
        .store_dry_J_K = 1500.0,
        .store_loss_W_K = 2.5,
        .mixing_W_K = 200.0,
        .mixing_flow = 10.0,
        .pipe_kg = 0.03,
        .pipe_loss_W_K = 0.0,
    };
}

static void temperature_probe(nr_virtual_sensor *s, double u_offset, double lag_s)
{
    *s = (nr_virtual_sensor){.u_offset = u_offset, .lag_s = lag_s, .noise = 0.02, .step = 0.0625};
}

/* The reference set of instruments: 1/16 K probes, a 3 % pyranometer, a 2 % flow meter. */
static void reference_sensors(nr_virtual_sensor s[NR_VC_COUNT])
{
    temperature_probe(&s[NR_VC_STORE], 0.15, 12.0);
    temperature_probe(&s[NR_VC_INLET], 0.15, 4.0);
    temperature_probe(&s[NR_VC_OUTLET], 0.15, 4.0);
    temperature_probe(&s[NR_VC_AIR], 0.3, 30.0);
    temperature_probe(&s[NR_VC_BOX], 0.5, 20.0);
    s[NR_VC_SUN] = (nr_virtual_sensor){.u_gain = 0.03, .noise = 2.0, .step = 0.1};
    s[NR_VC_FLOW] = (nr_virtual_sensor){.u_gain = 0.02, .noise = 0.02, .step = 0.001};
    s[NR_VC_WIND] = (nr_virtual_sensor){.u_gain = 0.05, .noise = 0.05, .step = 0.01};
    s[NR_VC_PUMP] = (nr_virtual_sensor){.u_gain = 0.01, .noise = 0.02, .step = 0.01};
    /* Two rigs side by side share what is not part of either. */
    nr_copy(s[NR_VC_AIR].identity, NR_NAME, "air-screen");
    nr_copy(s[NR_VC_SUN].identity, NR_NAME, "pyranometer");
    nr_copy(s[NR_VC_WIND].identity, NR_NAME, "anemometer");
}

static nr_virtual_params common_params(void)
{
    nr_virtual_params p = {
        .rig_seed = 1,
        .day_seed = 1,
        .stated = common_device(),
        .u_area = 0.005,
        .u_water = 0.005,
        .u_absorber = 0.2,
        .u_fluid = 0.05,
        .u_store_dry = 0.1,
        .u_store_loss = 0.2,
        .tube_length_m = COIL_M,
        .tube_bore_mm = 4.826,
        .latitude_deg = 46.18,
        .longitude_deg = 9.9,
        .elevation_m = 410.0,
        .tilt_deg = 35.0,
        .azimuth_deg = 180.0,
        .start_utc_s = 1778926500.0, /* 2026-05-16T10:15:00Z, an hour before solar noon */
        .sky = NR_SKY_CLEAR,
        .clearness = 0.92,
        .air_degC = 19.0,
        .air_rise_K_h = 1.5,
        .air_noise_K = 0.15,
        .wind_m_s = 1.5,
        .wind_noise_m_s = 0.6,
        .duration_s = 5400.0,
        .interval_s = 1.0,
        .store_above_air_K = -4.0,
        .collector_above_air_K = 2.0,
        .pump = NR_PUMP_STEADY,
        .flow_L_min = 1.0,
        .panel_start_W_m2 = 350.0,
        .panel_stall_W_m2 = 240.0,
        .pump_stop_s = NAN,
        .pump_restart_s = NAN,
        .channels = NR_VC_LOOP_SET,
        .line = NR_LINE_PAIRS,
        .separator = ',',
        .checksum = NR_CHECKSUM_XOR8,
        .clock = NR_CLOCK_ADAPTER,
    };
    nr_copy(p.port, sizeof p.port, "/tmp/noonrun-virtual-rig");
    reference_sensors(p.sensor);
    return p;
}

nr_virtual_params nr_virtual_glazed(void)
{
    nr_virtual_params p = common_params();
    nr_virtual_device *d = &p.stated;
    nr_copy(p.build, sizeof p.build, "wash-stand-glazed");
    nr_copy(p.title, sizeof p.title, "Wash-stand heater under one pane of glass");
    d->optical = 0.78;
    d->u0 = 1.2;
    d->cover = true;
    d->gap0 = 7.5;
    d->gap1 = 0.04;
    d->cover0 = 7.0;
    d->coverwind = 3.0;
    d->cover_J_K = 0.96 * 0.003 * 2500.0 * 800.0; /* 3 mm of glass */
    return p;
}

nr_virtual_params nr_virtual_bare(void)
{
    nr_virtual_params p = common_params();
    nr_virtual_device *d = &p.stated;
    nr_copy(p.build, sizeof p.build, "wash-stand-bare");
    nr_copy(p.title, sizeof p.title, "Wash-stand heater, the same coil without glass");
    d->optical = 0.92;
    d->u0 = 10.5;
    d->u1 = 0.05;
    d->uwind = 4.0;
    return p;
}

void nr_virtual_stall_day(nr_virtual_params *p)
{
    p->sky = NR_SKY_BROKEN;
    p->pump = NR_PUMP_PANEL;
}

static double actual(const nr_virtual_params *p, const char *part, double stated, double u)
{
    return stated * (1.0 + u * nr_chance_normal(p->rig_seed, part, p->build));
}

nr_virtual_device nr_virtual_actual(const nr_virtual_params *p)
{
    nr_virtual_device d = p->stated;
    if (p->exact_device) {
        return d;
    }
    d.area_m2 = actual(p, "area", d.area_m2, p->u_area);
    d.water_kg = actual(p, "water", d.water_kg, p->u_water);
    d.fluid_kg = actual(p, "fluid", d.fluid_kg, p->u_fluid);
    d.store_dry_J_K = actual(p, "store-dry", d.store_dry_J_K, p->u_store_dry);
    /* 20 % standard uncertainty has a tail that ends below zero: no real absorber lies there. */
    d.absorber_J_K =
        fmax(0.2 * d.absorber_J_K, actual(p, "absorber", d.absorber_J_K, p->u_absorber));
    if (p->state_store_loss) {
        d.store_loss_W_K = fmax(0.0, actual(p, "store-loss", d.store_loss_W_K, p->u_store_loss));
    }
    return d;
}
