/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The container's own loss, from one evening of cooling with the pump off.
 *
 *   C dT/dt = -UA (T - air),  C = m cp + dry
 *
 * T is the store's, air as it was measured from reading to reading. T at the start, UA/C and a
 * common error of the two thermometers (prior: their stated uncertainties) are fitted to means of
 * the store's readings; what is left is whitened (estimate/noise.h), so that slow wander does not
 * count as many readings.
 */
#ifndef NR_COOLDOWN_COOLDOWN_H
#define NR_COOLDOWN_COOLDOWN_H

#include "analyze/fit/trust.h"
#include "analyze/quality/quality.h"
#include "analyze/result/quantity.h"
#include "analyze/result/warning.h"

#include <stdbool.h>
#include <stddef.h>

/* Why a record is no lone cool-down. */
typedef enum nr_cooldown_not {
    NR_COOLDOWN_IS,
    NR_COOLDOWN_NO_READINGS, /* no store, no air, or fewer than three readings */
    NR_COOLDOWN_PUMPED,      /* the pump ran */
    NR_COOLDOWN_SUN,         /* nothing tells of the pump, and the sun shone */
    NR_COOLDOWN_NOT_WARM,    /* not warmer than the air by NR_COOLDOWN_LEAST_K on average */
    NR_COOLDOWN_NOT_COOLING  /* the water did not get colder */
} nr_cooldown_not;

#define NR_COOLDOWN_LEAST_K 2.0

typedef struct nr_cooldown {
    char folder[NR_ERR_FILE], title[256], collector[NR_NAME];
    size_t rows, used; /* readings of the store that count */
    double duration_s, begin_utc_s;
    nr_quantity loss_W_K;   /* u_systematic: masses, thermometers, and the law's own 3 % */
    double time_constant_s; /* C/UA */
    double from_degC, to_degC, air_degC; /* fitted at both ends; mean air */
    double over_air_K[2];                /* least and most, T - air */
    double heat_capacity_J_K;
    double share_water, share_probes, share_model, share_noise; /* of the variance of the loss */
    double rms_K;
    size_t blocks;
    double *t_s, *reading_degC, *fitted_degC, *air_at_degC; /* [blocks] */
    nr_trust trust;
    nr_warnings warnings, cautions;
} nr_cooldown;

/* Whether a run is a cool-down and nothing else. */
nr_cooldown_not nr_cooldown_of(const nr_run *run);
/* The same where its readings are judged already. */
nr_cooldown_not nr_cooldown_of_judged(const nr_quality *quality);

/* NR_CANNOT where it is none, or cooled too little to tell (with how long it would take). Free with
 * nr_cooldown_free. */
nr_code nr_cooldown_fit(const nr_run *run, nr_cooldown **out, nr_err *err);
void nr_cooldown_free(nr_cooldown *cooldown);

#endif
