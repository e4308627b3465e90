/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A record under inspection: what is known of it so far, and what the subjects (subjects.h) share.
 * Used by inspect/ only. */
#ifndef NR_INSPECT_INSPECTION_H
#define NR_INSPECT_INSPECTION_H

#include "analyze/inspect/inspect.h"
#include "analyze/quality/passes.h"
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

typedef struct nr_inspection {
    const nr_run *run;
    const nr_quality *q;
    nr_inspect *out;
    double *scratch; /* [NR_PASSES_KEPT], or as many as there are rows */
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
} nr_inspection;

/* Adds a finding. role NR_ROLES: about the whole record; from NAN: all of it; number: NR_SEEN(...)
 * or NULL. Beyond NR_FINDINGS notes make room for worse, else it is dropped. */
void nr_find(nr_inspection *inspection, nr_finding_code code, nr_severity severity, nr_role role,
             double from_s, double to_s, const double number[NR_FINDING_NUMBERS]);
#define NR_SEEN(...) ((const double[NR_FINDING_NUMBERS]){__VA_ARGS__})

/* The raw column, marked readings included; NULL when not recorded or empty. */
const nr_values *nr_inspect_raw(const nr_inspection *inspection, nr_role role);

/* What nr_inspect_ranked looks at: role, or role - other (NR_ROLES: none), in rows of from_s..to_s
 * in which the pump is in the state (NR_PUMP_IS_UNKNOWN: any) and the sun is over least_sun
 * (-INFINITY: any); raw: marked readings, too. */
typedef struct nr_looked_at {
    nr_role role, other;
    nr_pump_state pump;
    double since_s; /* from_s and to_s count from this elapsed time */
    double from_s, to_s, least_sun_W_m2;
    bool raw;
} nr_looked_at;

/* One of those values by its rank, or their median (rank NULL). NAN of none. */
double nr_inspect_ranked(const nr_inspection *inspection, const nr_looked_at *what,
                         nr_passes_rank *rank, size_t *count);

/* Median of good readings of rows where the pump is in the state (NR_PUMP_IS_UNKNOWN: any), within
 * from_s..to_s of elapsed time; NAN when fewer than ten. other < NR_ROLES: of role - other. */
double nr_inspect_median(const nr_inspection *inspection, nr_role role, nr_role other,
                         nr_pump_state pump, double from_s, double to_s);

/* Stated constant error of a channel, or what stands in for it when not stated. */
double nr_inspect_offset_u(const nr_inspection *inspection, nr_role role);
double nr_inspect_gain_u(const nr_inspection *inspection, nr_role role, double otherwise);

#endif
