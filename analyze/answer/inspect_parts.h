/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of nr_inspect_run: one subject a file. Each looks and adds findings; order matters where
 * one cause explains several signs: the cause is looked for first and its signs then stay unsaid.
 */
#ifndef NR_ANSWER_INSPECT_PARTS_H
#define NR_ANSWER_INSPECT_PARTS_H

#include "analyze/answer/inspect.h"
#include "analyze/quality/steady.h"

/* Heat of the loop, of the store and of the sun on the gross area against each other, where they
 * are known; u: standard uncertainties. */
typedef struct nr_heat {
    bool loop_known;
    double ratio, u_ratio; /* loop over store */
    bool store_known;
    double share, u_share; /* store over sun */
    bool loop_share_known;
    double loop_share, u_loop_share; /* loop over sun */
    double mean_excess_K;            /* store over air */
    double mean_sun_W_m2;
} nr_heat;

/* The sun and the collector's plane, in blocks of five minutes. NAN where not known. */
#define NR_SKY_BLOCK_S 300.0
typedef struct nr_sky_block {
    double t_s;        /* middle */
    double sun_W_m2;   /* mean, readings out of range included: what the column says */
    double pump_share; /* of the block */
    double zenith_deg, incidence_deg, beyond_W_m2, clear_W_m2; /* beyond: outside the atmosphere */
} nr_sky_block;

typedef struct nr_look {
    const nr_run *run;
    const nr_quality *q;
    nr_inspect *out;
    double *scratch; /* [rows] */
    size_t blocks;
    nr_sky_block *block;
    bool place_known; /* site, tilt, azimuth */
    nr_heat heat;
    /* causes found */
    bool unit_wrong[NR_ROLES];
    bool probes_wrong; /* swapped or disagreeing */
    bool dark;         /* no sun in the record */
    bool sky_wrong;    /* clock, site or plane */
    size_t strict_windows, field_windows;
} nr_look;

/* Adds a finding. role NR_ROLES: about the whole record; from NAN: all of it; number: NR_SEEN(...)
 * or NULL. Beyond NR_FINDINGS notes make room for worse, else it is dropped. */
void nr_find(nr_look *look, nr_finding_code code, nr_severity severity, nr_role role, double from_s,
             double to_s, const double number[NR_FINDING_NUMBERS]);
#define NR_SEEN(...) ((const double[NR_FINDING_NUMBERS]){__VA_ARGS__})

/* The raw column, marked readings included; NULL when not recorded or empty. */
const double *nr_look_raw(const nr_look *look, nr_role role);

/* Median of good readings of rows where the pump is in the state (NR_PUMP_IS_UNKNOWN: any), within
 * from_s..to_s of elapsed time; NAN when fewer than ten. other < NR_ROLES: of role - other. */
double nr_look_median(const nr_look *look, nr_role role, nr_role other, nr_pump_state pump,
                      double from_s, double to_s);

/* Stated constant error of a channel, or what stands in for it when not stated. */
double nr_look_offset_u(const nr_look *look, nr_role role);
double nr_look_gain_u(const nr_look *look, nr_role role, double otherwise);

void nr_look_record(nr_look *look);   /* length, gaps, duplicates, clock */
void nr_look_channels(nr_look *look); /* missing, empty, spikes, stuck, saturated, range, noise */
void nr_look_units(nr_look *look);    /* columns that hold another unit; before nr_look_channels */
void nr_look_sky(nr_look *look);      /* sun against site, clock and plane */
void nr_look_heat(nr_look *look);     /* heat balances, swapped and disagreeing probes */
void nr_look_pump(nr_look *look);     /* pump states, stops, dead meter */
void nr_look_lags(nr_look *look);     /* delays between channels, where they show */
void nr_look_worth(nr_look *look);    /* what the record can tell: spread, steady windows */
void nr_look_cautions(nr_look *look); /* lid, scald, Legionella */

nr_code nr_sky_blocks(nr_look *look, nr_err *err);   /* fills block[]; free with free() */
nr_code nr_heat_balance(nr_look *look, nr_err *err); /* fills heat */

#endif
