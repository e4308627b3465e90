/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit fit`: one collector, one or more runs, one joint estimate.
 *
 * Everything a table, a JSON document, a page or a plot needs, in plain arrays; showing code
 * computes nothing of its own. SI throughout; temperatures in degC, differences in K.
 */
#ifndef NR_FIT_FIT_H
#define NR_FIT_FIT_H

#include "analyze/fit/standard.h"
#include "analyze/fit/trust.h"
#include "analyze/result/quantity.h"
#include "analyze/result/warning.h"
#include "logger/base/err.h"
#include "logger/run/folder.h"

struct nr_fit;

typedef enum nr_fit_model {
    NR_MODEL_STORE, /* the store's temperature alone */
    NR_MODEL_LOOP,  /* inlet, outlet and flow alone */
    NR_MODEL_BOTH   /* both, jointly */
} nr_fit_model;

/* T of the reduced temperature difference x = (T - Tair)/G. */
typedef enum nr_reference { NR_REFERENCE_INLET, NR_REFERENCE_MEAN } nr_reference;

/* One sensor the model predicts, over the whole run, block by block. NAN = no reading. */
typedef struct nr_fit_channel {
    char name[16];    /* store, inlet, outlet */
    double *measured; /* [blocks] degC, as recorded */
    double *modelled; /* [blocks] degC, of the fitted model, with this sensor's offset and lag */
    double *residual; /* [blocks] K, measured - modelled; NAN where not used */
    double rms_K;     /* of the used residuals */
    double ar1;       /* their lag-one correlation, as used for the whitening */
    double whiteness; /* lag-one correlation of the whitened residuals: near 0 when the noise model
                         holds; NAN unknown */
    size_t outliers;  /* whitened residuals beyond four standard deviations; they stay in */
    size_t used, left_out;
} nr_fit_channel;

typedef struct nr_fit_run {
    char folder[NR_ERR_FILE];
    char title[256];
    size_t rows;
    double duration_s, used_s; /* used_s: blocks that entered the fit, in seconds */
    double start_utc_s;
    double latitude_deg, longitude_deg; /* NAN unknown */
    size_t blocks;
    double block_s;
    double *t_s;        /* [blocks] middle of the block since the run's start */
    double *sun_W_m2;   /* [blocks] as recorded, filled where interpolated */
    double *air_degC;   /* [blocks] */
    double *flow_L_min; /* [blocks] NAN where unknown */
    bool *pump_on;      /* [blocks] */
    bool *bright;       /* [blocks] the sun stands high enough to judge the collector by */
    /* power of the fitted model, W, on the whole collector */
    double *absorbed_W, *to_water_W, *collector_loss_W, *store_loss_W; /* [blocks] */
    size_t channels;
    nr_fit_channel channel[3];
} nr_fit_run;

/* What a fit did with a channel of a run. */
typedef enum nr_channel_use {
    NR_CHANNEL_UNUSED, /* recorded, but neither fitted nor driving: the model says nothing of it */
    NR_CHANNEL_DRIVES, /* an inlet that is given to the model */
    NR_CHANNEL_FITTED
} nr_channel_use;
nr_channel_use nr_fit_channel_use(const nr_fit_run *run, size_t channel);
/* The first block that sets something: before it the model runs in from an unknown state, and what
 * it says there is no finding. channel: of that channel alone, SIZE_MAX: of any. blocks: none. */
size_t nr_fit_first_block(const nr_fit_run *run, size_t channel);

typedef struct nr_curve_point {
    double x;               /* reduced temperature difference, m2 K/W */
    double eta, lo95, hi95; /* on gross area */
    bool tested;            /* inside the tested range */
} nr_curve_point;

/* The curve, inside and outside the tested range, as eta = sum of c[k] x^k, x the reduced
 * temperature difference; u(eta)^2 = sum of covariance[i][k] x^i x^k, its 95 % interval eta -+ k95
 * u. Points and bands of `curve` are computed from these, so that anyone can redraw them to the
 * last digit. */
#define NR_CURVE_TERMS 5
typedef struct nr_curve_formula {
    double c[NR_CURVE_TERMS];
    double covariance[NR_CURVE_TERMS][NR_CURVE_TERMS];
    double x_range[2]; /* it holds over this */
    double k95;
} nr_curve_formula;

/* Covariance of the coefficients that the record determines: of eta0, a1, a2, a5, b0, store_loss.
 */
#define NR_COVARIANCE_MOST 6
typedef struct nr_covariance {
    size_t count;
    const char *name[NR_COVARIANCE_MOST];                  /* as in JSON; static */
    double matrix[NR_COVARIANCE_MOST][NR_COVARIANCE_MOST]; /* SI */
} nr_covariance;

/* A mean over a few minutes, for the eye and the classical cross-check; not used by the fit. */
typedef struct nr_point {
    double x, eta;
    double u;   /* standard uncertainty of eta from noise and constant sensor errors */
    double t_s; /* middle of the window in its run */
    size_t run;
    bool steady; /* met the steady-state limits */
} nr_point;

/* Which input is to blame for how much of the variance; shares sum to one per quantity. */
enum { NR_SHARE_ETA0, NR_SHARE_A1, NR_SHARE_RUN, NR_SHARES };
typedef struct nr_budget_item {
    int term, variant;     /* identity: nr_term and which of its labels; NR_TERMS: noise */
    char label[96];        /* "irradiance sensor, gain" ; "random: noise, wind, mixing" */
    char channel[NR_NAME]; /* sun, store, ... or "" */
    double stated_u;       /* the standard uncertainty that was stated, in unit; NAN for random */
    char unit[16];
    double share[NR_SHARES];
    double bought; /* part of its shares that stating it would take away */
    char ask[40];  /* what the rig file could state instead: "back in [collector]"; "" */
} nr_budget_item;

/* What the record says about a stated input: prior against posterior. */
typedef struct nr_learned {
    char label[96];
    char unit[16];
    double stated, stated_u; /* prior */
    double found, found_u;   /* posterior */
} nr_learned;

typedef struct nr_incidence {
    bool known;
    double mean_deg, lo_deg, hi_deg; /* over the used part, weighted by irradiance */
    double b0, u_b0;                 /* as used */
    double modifier;                 /* K at the mean angle */
} nr_incidence;

/* Below this share of the variance an input does not limit a result. */
#define NR_SHARE_LIMITS 0.10

/* Index of the item with the largest share of a result (NR_SHARE_ETA0, ...); SIZE_MAX: none. */
size_t nr_fit_limit(const struct nr_fit *fit, int of);

/* Whether a record moved or sharpened a stated input by as much as is worth a word. */
typedef enum nr_learned_grade {
    NR_LEARNED_NOTHING,
    NR_LEARNED_SOMETHING,
    NR_LEARNED_CHECK_IT /* moved so far that the stated value is doubtful */
} nr_learned_grade;
nr_learned_grade nr_learned_judge(const nr_learned *learned);

/* The classical regression of the points, as a second opinion. */
typedef struct nr_classical {
    bool known;
    size_t points;
    bool steady_only;
    nr_quantity eta0, a1;
} nr_classical;

/* A plain regression of the record's own ten-minute means (derive_means.c), of the mean fluid
 * temperature whatever the fit's reference: another second opinion, where the loop is measured. */
typedef struct nr_means {
    bool known;
    size_t windows;
    bool a5_held;             /* at the fit's: these means do not tell it */
    nr_quantity eta0, a1, a5; /* a5 unknown where it is held */
} nr_means;

#define NR_BUDGET_ITEMS 64

/* What stagnation is read off: the absorber without flow, in `sun_W_m2`, where what it takes in
 * equals what it loses, gain sun = loss d + loss2 d^2, d the rise over the air. The coefficients
 * are the absorber's own, not the curve's: those are of the fluid. */
typedef struct nr_standstill {
    double sun_W_m2;
    double gain;         /* share of the irradiance taken in (with the sky's part of it) */
    double loss_W_m2K;   /* absorber to air, at zero difference */
    double loss2_W_m2K2; /* its growth per kelvin */
    double loss2_u;      /* standard uncertainty of that, posterior */
    double straight_K;   /* eta0 sun / a1: the curve's straight line, for comparison */
    bool loss2_taken;    /* the record says next to nothing of loss2: the prior holds */
} nr_standstill;

/* One result by Monte Carlo: shape of its error distribution about the fitted value. */
typedef struct nr_sampled {
    double u;          /* standard deviation */
    double u_error;    /* sampling error of u, from the number of trials */
    double lo95, hi95; /* of the result */
} nr_sampled;

/* The uncertainty once more, by propagating distributions (JCGM 101): records are simulated from
 * the fitted model with the noise found and errors of all stated inputs drawn anew, and each is
 * fitted. */
typedef struct nr_monte_carlo {
    size_t trials, failed; /* 0 trials: not asked for */
    unsigned long seed;
    nr_sampled eta0, a1, run_efficiency;
} nr_monte_carlo;

typedef struct nr_fit {
    char collector_name[NR_NAME];
    double gross_area_m2;
    nr_fit_model model;
    nr_reference reference;
    bool loss_includes_store;
    nr_quantity eta0;        /* -, at the mean incidence angle of the used data */
    nr_quantity eta0_normal; /* the same at normal incidence; not known without the sun's angle */
    nr_quantity a1;          /* W/(m2 K) */
    nr_quantity a2;          /* W/(m2 K2); not known unless the data carry it */
    nr_quantity a5;          /* effective heat capacity, J/(m2 K) */
    nr_quantity store_loss;  /* W/K */
    nr_quantity run_efficiency; /* heat kept in the water over sun on the collector, while it shone
                                   and nothing says that the pump stood; clouds and stops between
                                   included */
    nr_quantity stagnation_K;   /* rise over air at 1000 W/m2, extrapolated: "at least" */
    nr_standstill standstill;
    nr_quantity time_constant_s;
    double x_range[2], dT_range[2], sun_range[2]; /* tested: m2 K/W, K, W/m2 */
    double mean_sun_W_m2, mean_air_degC, mean_flow_L_min, mean_wind_m_s; /* NAN unknown */
    /* Of what the water gets at the temperature of the air, at those conditions, what does not go
     * with the irradiance, W/m2: exchange with the sky, diffuse light. At another irradiance G it
     * is (eta0 G0 - this) G/G0 + this, G0 the mean. */
    double constant_W_m2;
    double counted_s;      /* the time that run_efficiency and the energies are of */
    double sun_J, water_J; /* energy on the gross area, and gained by the store */
    double pump_J;         /* of that, the pump's own heat: not in run_efficiency */
    double residual_rms_K;
    size_t curve_points;
    nr_curve_point *curve;
    nr_curve_formula curve_formula;
    nr_covariance covariance;
    size_t points;
    nr_point *point;
    nr_classical classical;
    nr_means means;
    nr_incidence incidence;
    nr_monte_carlo monte_carlo;
    size_t budget_items; /* largest share of eta0 first */
    nr_budget_item budget[NR_BUDGET_ITEMS];
    size_t learned_items;
    nr_learned learned[NR_BUDGET_ITEMS];
    size_t runs;
    nr_fit_run *run;
    nr_trust trust;
    nr_warnings warnings;
    nr_standard *standard; /* as a test laboratory tabulates it; NULL: not asked for */
    bool a2_told; /* a2 is known and the record itself says so; else it was asked for and is mostly
                     what is usual */
} nr_fit;

/* joint.h: where a search ended, for others to begin from. */
typedef struct nr_joint_begin nr_joint_begin;

typedef struct nr_fit_options {
    bool use_store;         /* default true: use the store's temperature */
    bool use_loop;          /* default true: use inlet, outlet, flow where recorded */
    bool lump_store_loss;   /* default false: count the container's loss with the collector's */
    nr_reference reference; /* wanted; given only where force_reference */
    bool force_reference;
    const nr_judged *judged; /* [runs] the records' verdicts; NULL: they are made here */
    bool at_once;       /* default false: where what inspect finds withholds the answer whatever a
                           search finds, none is begun, and the answer is its trust and its
                           runs' folders alone */
    bool withheld_only; /* default false: only whether the answer is withheld is wanted */
    bool plain;         /* default false: coefficients, uncertainties and budget alone; no trust, no
                           time constant */
    bool standard;      /* default false: results in the terms of ISO 9806, too */
    bool quadratic;     /* default false: a2 also where the record does not tell it by itself */
    size_t monte_carlo; /* trials; 0: none */
    unsigned long seed; /* of the Monte Carlo */
    /* Default false: coefficients and their uncertainties only, of a comparison their differences;
     * neither heat-ups nor a verdict: for tests that were only simulated. */
    bool brief;
    const nr_joint_begin *begin; /* where the search begins; NULL: as usual */
    bool expected;               /* joint.h: of records simulated from about there */
    nr_joint_begin **leave;      /* gets where it ended, the caller's to free; NULL: not wanted */
    const nr_sink *progress;     /* may be NULL */
} nr_fit_options;

nr_fit_options nr_fit_defaults(void);

/* runs[count]: all of one collector. NR_CANNOT with the reason when the record cannot answer.
 * Free with nr_fit_free. */
nr_code nr_fit_runs(const nr_run *const *runs, size_t count, const nr_fit_options *options,
                    nr_fit **out, nr_err *err);
void nr_fit_free(nr_fit *fit);

#endif
