/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a bath tells of the thermometers in it: pure arithmetic on arrays.
 *
 * One bath: all probes in one stirred bath, each against a reference. What comes out is the
 * correction to add to a probe's reading, in two parts that must not be mixed: what is uncertain of
 * this probe alone, and what is uncertain of the reference and therefore wrong by the same amount
 * for all of them. Differences between probes of one bath contain only the first part.
 *
 * Two points: ice and boiling water give gain and offset with their covariance.
 *
 * Temperatures in degC, differences and standard uncertainties in K. NAN in an array: no reading.
 */
#ifndef NR_CONVERT_CALIBRATE_H
#define NR_CONVERT_CALIBRATE_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

/* Fewer pairs of readings than this say nothing about scatter. */
#define NR_BATH_ROWS_MIN 20

/* Step of a reading that never changed and of which no step is known. Common practice: a display
 * of one decimal; no source. */
#define NR_BATH_STEP_UNKNOWN_K 0.1

typedef struct nr_bath {
    size_t rows, probes;
    const double *time_s;       /* [rows] rising */
    const double *const *value; /* [probes][rows] */
    /* The reference: one reading a row; or NULL and a stated temperature; or NULL and NAN: the mean
     * of all probes, and what they are all wrong by stays unknown. */
    const double *reference;
    double reference_degC;
    double u_reference_K; /* standard uncertainty, common to all probes */
    double u_place_K;     /* the bath is not equally warm everywhere: of each probe on its own */
} nr_bath;

typedef struct nr_bath_probe {
    size_t count;        /* rows with probe and reference */
    double difference_K; /* mean of probe - reference */
    double correction_K; /* -difference: to be added to the reading */
    double sd_K;         /* scatter about the trend */
    double lag1;         /* autocorrelation of what is left of the trend */
    double effective;    /* number of independent readings */
    double step_K;       /* smallest step seen in the readings, or the assumed one */
    double drift_K;      /* change of the difference from first to last row */
    double u_drift_K;
    bool drifts;    /* beyond three times its uncertainty and a step: wait longer or stir better */
    bool constant;  /* one and the same reading all along: stuck, or very coarse */
    double u_own_K; /* of correction_K: scatter, step, drift, place; not the reference */
} nr_bath_probe;

typedef struct nr_bath_result {
    double bath_degC;       /* mean of the reference, or of the probes */
    double bath_rate_K_min; /* how fast it changed: lagging probes then differ by lag times rate */
    double u_common_K;      /* the reference's; NAN when there was none */
    bool relative;          /* no reference: corrections bring the probes together, no more */
} nr_bath_result;

/* out: [probes]. NR_CANNOT when a probe has fewer than NR_BATH_ROWS_MIN pairs or the bath took no
 * time; the text names which (1-based). Reasons for a row of numbers to be wrong (drifts, constant)
 * are flags, not failures. */
nr_code nr_bath_solve(const nr_bath *bath, nr_bath_probe *out, nr_bath_result *result, nr_err *err);

/* Two points: true = gain * reading + offset, exact through both. */
typedef struct nr_two_point_in {
    double reading_degC[2], u_reading_K[2]; /* of the probe */
    double true_degC[2], u_true_K[2];       /* of the bath */
} nr_two_point_in;

typedef struct nr_two_point {
    double gain, offset_K;
    double u_gain, u_offset_K;
    double covariance; /* of gain and offset, K */
} nr_two_point;

/* NR_CANNOT when the points are closer than 20 K: the gain would be worse than none. */
nr_code nr_two_point_solve(const nr_two_point_in *in, nr_two_point *out, nr_err *err);

#endif
