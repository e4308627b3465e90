/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tests/adversity/truth.h"

#include <gsl/gsl_const_mksa.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>
#include <math.h>

#define SIGMA GSL_CONST_MKSA_STEFAN_BOLTZMANN_CONSTANT
#define KELVIN 273.15
#define GLASS_EMITTANCE 0.88
#define BOARD_OUTSIDE 8.0 /* W/(m2 K), still air behind a box; common practice, no source */

static double fourth(double degC)
{
    double k = degC + KELVIN;
    return k * k * k * k;
}

/* Kell's fit of the density of air-free water, 1975 (as widely tabulated). */
double ad_density_kg_L(double t)
{
    return 1 - (t + 288.9414) / (508929.2 * (t + 68.12963)) * pow(t - 3.9863, 2);
}

double ad_modifier(const ad_heater *h, double cosine)
{
    if (cosine < 0.17)
        return 0;
    return fmax(0, 1 - h->b0 * (1 / cosine - 1));
}

/* Magnus formula (WMO No. 8, annex 4.B), Pa. */
static double saturation_Pa(double degC)
{
    return 611.2 * exp(17.62 * degC / (243.12 + degC));
}

/* Heat and mass transfer go by one law (Lewis): h_m = h_c / (rho c_p Le^(2/3)), Le = 0.87 for water
 * vapour in air; the film over a sheltered surface 3 + 3 v W/(m2 K), from memory. */
double ad_evaporation_W(double opening_m2, double water, double air, double humidity, double wind)
{
    if (opening_m2 <= 0)
        return 0;
    double film = 3 + 3 * wind;
    double transfer = film / (1.19 * 1006 * pow(0.87, 2.0 / 3)); /* m/s */
    double at_water = saturation_Pa(water) / (461.5 * (water + KELVIN));
    double in_air = humidity * saturation_Pa(air) / (461.5 * (air + KELVIN));
    return opening_m2 * transfer * (at_water - in_air) * 2.43e6;
}

static double outer(const ad_heater *h, double t, double emittance, const ad_input *in)
{
    return (h->wind0 + h->wind1 * in->wind_m_s) * (t - in->air_degC) +
           emittance * SIGMA * (fourth(t) - fourth(in->sky_degC));
}

/* Plate to pane: convection with the fourth root of the difference, radiation between planes. */
static double across(const ad_heater *h, double plate, double cover)
{
    double d = plate - cover;
    double share = 1 / (1 / h->emittance + 1 / GLASS_EMITTANCE - 1);
    return 1.35 * pow(fabs(d), 0.25) * d + share * SIGMA * (fourth(plate) - fourth(cover));
}

void ad_start(const ad_heater *h, const ad_store *s, double water, double air, ad_state *x)
{
    (void)h;
    *x = (ad_state){.supply = water, .back = water, .water_kg = s->water_kg};
    for (int i = 0; i < AD_STRIPS; i++) {
        x->plate[i] = x->fluid[i] = air + 4;
        x->cover[i] = air + 1;
        for (int k = 0; k < AD_BOARD; k++)
            x->board[i][k] = air + 1;
    }
    for (int k = 0; k < AD_LAYERS; k++)
        x->layer[k] = water;
}

static double board_step(const ad_heater *h, double plate, double air, double dt, double *board)
{
    double between = h->board_W_m2K * AD_BOARD, heat = h->board_J_m2K / AD_BOARD;
    double into = h->gap_W_m2K * (plate - board[0]), q = into;
    for (int k = 0; k < AD_BOARD; k++) {
        double out = k + 1 < AD_BOARD ? between * (board[k] - board[k + 1])
                                      : BOARD_OUTSIDE * (board[k] - air);
        board[k] += dt * (q - out) / heat;
        q = out;
    }
    return into;
}

/* Returns what the water gets warmer by, K. */
static double strip_step(const ad_heater *h, const ad_input *in, double dt, int i, ad_state *x)
{
    double sun = in->sun_W_m2 * in->absorbed_share;
    double q = sun * h->optical;
    if (h->glazed) {
        double up = across(h, x->plate[i], x->cover[i]);
        q -= up;
        double net = up + in->sun_W_m2 * h->cover_absorbs;
        net -= outer(h, x->cover[i], GLASS_EMITTANCE, in);
        x->cover[i] += dt * net / h->cover_J_m2K;
    } else {
        q -= outer(h, x->plate[i], h->emittance, in);
    }
    q -= board_step(h, x->plate[i], in->air_degC, dt, x->board[i]);
    double to_water = h->bond_W_m2K * (x->plate[i] - x->fluid[i]);
    x->plate[i] += dt * (q - to_water) / h->absorber_J_m2K;
    return dt * to_water * h->area_m2 / (h->fluid_kg * AD_CP);
}

/* The water moves on and is warmed on its way: plug flow with the strips as cells, by as many small
 * moves as needed. Warmed first and moved then, the outlet that is read (after the move) lacks what
 * has just left: the share of the content that a step carries off, 2 % and more of the heat. */
static void move_on(double fluid_kg, double flow, double inlet, double dt, const double *warmer,
                    double *fluid)
{
    double share = flow * dt / (fluid_kg / AD_STRIPS);
    int moves = (int)fmax(ceil(share / 0.8), 1);
    for (int m = 0; m < moves; m++)
        for (int i = AD_STRIPS - 1; i >= 0; i--)
            fluid[i] += (share * ((i ? fluid[i - 1] : inlet) - fluid[i]) + warmer[i]) / moves;
}

static void store_step(const ad_store *s, const ad_input *in, double dt, ad_state *x)
{
    double heat = (x->water_kg * AD_CP + s->dry_J_K) / AD_LAYERS, q[AD_LAYERS];
    double cp = in->own_inlet ? 0 : in->flow_kg_s * AD_CP;
    for (int k = 0; k < AD_LAYERS; k++) {
        double above = k + 1 < AD_LAYERS ? x->layer[k + 1] : x->back;
        q[k] = cp * (above - x->layer[k]); /* in at the top, out at the bottom */
        q[k] -= s->loss_W_K / AD_LAYERS * (x->layer[k] - in->air_degC);
        if (k + 1 < AD_LAYERS) {
            double mixed = s->mix_W_K * (x->layer[k + 1] - x->layer[k]);
            q[k] += mixed;
            if (x->layer[k + 1] < x->layer[k]) /* cold over warm turns over */
                q[k] += 5 * s->mix_W_K * (x->layer[k + 1] - x->layer[k]);
        }
        if (k) {
            double turn = x->layer[k] < x->layer[k - 1] ? 6 : 1;
            q[k] -= turn * s->mix_W_K * (x->layer[k] - x->layer[k - 1]);
        }
    }
    q[0] += in->flow_kg_s > 0 ? s->pump_W : 0;
    q[AD_LAYERS - 1] -= ad_evaporation_W(s->opening_m2, x->layer[AD_LAYERS - 1], in->air_degC,
                                         in->humidity, in->wind_m_s);
    for (int k = 0; k < AD_LAYERS; k++)
        x->layer[k] += dt * q[k] / heat;
}

/* Hoses: a tenth of a kilogram each, losing to the air. */
static void hose(double flow, double from, double loss, double air, double dt, double *t)
{
    *t += dt * (flow * AD_CP * (from - *t) - loss * (*t - air)) / (0.1 * AD_CP);
}

void ad_step(const ad_heater *h, const ad_store *s, const ad_input *in, double dt, ad_state *x)
{
    hose(in->flow_kg_s, x->layer[0], s->hose_W_K / 2, in->air_degC, dt, &x->supply);
    if (in->own_inlet)
        x->supply = in->inlet_degC;
    double warmer[AD_STRIPS];
    for (int i = 0; i < AD_STRIPS; i++)
        warmer[i] = strip_step(h, in, dt, i, x);
    move_on(h->fluid_kg, in->flow_kg_s, x->supply, dt, warmer, x->fluid);
    hose(in->flow_kg_s, x->fluid[AD_STRIPS - 1], s->hose_W_K / 2, in->air_degC, dt, &x->back);
    store_step(s, in, dt, x);
}

double ad_store_at(const ad_store *s, const ad_state *x, double height)
{
    (void)s;
    double at = fmin(fmax(height * AD_LAYERS - 0.5, 0), AD_LAYERS - 1.001);
    int k = (int)at;
    return x->layer[k] + (at - k) * (x->layer[k + 1] - x->layer[k]);
}

/* ---- at rest, from the balances ---- */

typedef struct strip {
    const ad_heater *h;
    const ad_input *in;
    double upstream, plate;
} strip;

static double cover_imbalance(double cover, void *context)
{
    const strip *s = context;
    return across(s->h, s->plate, cover) + s->in->sun_W_m2 * s->h->cover_absorbs -
           outer(s->h, cover, GLASS_EMITTANCE, s->in);
}

static double root(double (*f)(double, void *), void *context, double low, double high)
{
    gsl_function g = {f, context};
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    double x = NAN;
    if (solver && gsl_root_fsolver_set(solver, &g, low, high) == GSL_SUCCESS)
        for (int i = 0; i < 100; i++) {
            gsl_root_fsolver_iterate(solver);
            x = gsl_root_fsolver_root(solver);
            if (gsl_root_fsolver_x_upper(solver) - gsl_root_fsolver_x_lower(solver) < 1e-9)
                break;
        }
    gsl_root_fsolver_free(solver);
    return x;
}

static double leaving(const strip *s, double plate)
{
    double bond = s->h->bond_W_m2K * s->h->area_m2 / AD_STRIPS;
    double flow = s->in->flow_kg_s * AD_CP;
    return (bond * plate + flow * s->upstream) / (bond + flow);
}

static double plate_imbalance(double plate, void *context)
{
    strip *s = context;
    const ad_heater *h = s->h;
    double q = s->in->sun_W_m2 * s->in->absorbed_share * h->optical;
    s->plate = plate;
    if (h->glazed)
        q -= across(h, plate, root(cover_imbalance, s, s->in->sky_degC - 30, plate + 120));
    else
        q -= outer(h, plate, h->emittance, s->in);
    double behind =
        1 / (1 / h->gap_W_m2K + (AD_BOARD - 1.0) / (AD_BOARD * h->board_W_m2K) + 1 / BOARD_OUTSIDE);
    q -= behind * (plate - s->in->air_degC);
    return q - h->bond_W_m2K * (plate - leaving(s, plate));
}

double ad_efficiency(const ad_heater *h, const ad_input *in, double inlet, double *outlet)
{
    strip s = {h, in, inlet, 0};
    for (int i = 0; i < AD_STRIPS; i++)
        s.upstream = leaving(&s, root(plate_imbalance, &s, -40, 400));
    if (outlet)
        *outlet = s.upstream;
    return in->flow_kg_s * AD_CP * (s.upstream - inlet) / (in->sun_W_m2 * h->area_m2);
}

double ad_curve(const ad_heater *h, const ad_store *s, const ad_input *in, double x, bool mean,
                bool with_container)
{
    double wanted = in->air_degC + x * in->sun_W_m2, inlet = wanted, outlet = inlet, eta = 0;
    for (int i = 0; i < (mean ? 25 : 1); i++) {
        eta = ad_efficiency(h, in, inlet, &outlet);
        if (mean)
            inlet = wanted - (outlet - inlet) / 2;
    }
    if (!with_container)
        return eta;
    double lost = (s->loss_W_K + s->hose_W_K) * (wanted - in->air_degC) +
                  ad_evaporation_W(s->opening_m2, wanted, in->air_degC, in->humidity, in->wind_m_s);
    return eta - lost / (in->sun_W_m2 * h->area_m2);
}
