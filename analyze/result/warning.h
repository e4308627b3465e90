/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the reader must know before trusting an answer, and what to be careful with: as codes with
 * their numbers. analyze/tell words them. */
#ifndef NR_RESULT_WARNING_H
#define NR_RESULT_WARNING_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

/* One a wording; several may share a code (nr_warning_name), which is stable. Behind each: its
 * numbers in SI, in the order of nr_warning.number; `about` and `other` where it names something.
 */
typedef enum nr_warning_code {
    /* fit */
    NR_WARN_DIFFERENT_COLLECTORS, /* about, other: names */
    NR_WARN_LOSS_INCLUDES_STORE,
    NR_WARN_STORE_LOSS_NOT_DETERMINED,
    NR_WARN_HIDDEN_STOP,       /* K */
    NR_WARN_CONTAINER_CHANGED, /* minute; step: 0 another rate, 1 a step; score, its limit */
    NR_WARN_CONTAINER_PULLED,  /* sum of squares of the pulls, its limit */
    NR_WARN_CONTAINER_LEAKS,   /* loss, its u, the least of any, W/K */
    NR_WARN_CONTAINER_WANDERS, /* K, a healthy one's */
    NR_WARN_WATER_GONE,        /* share of the water and its u */
    NR_WARN_WATER_MASS,        /* by which share it is not as stated, its u; 1: less */
    NR_WARN_PLANE_UNSTATED,    /* u(eta0) as it is, and as it would be with plane = collector */
    NR_WARN_SUN_NOT_MEASURED,  /* about: folder; so the next */
    NR_WARN_SUN_BROUGHT,       /* u of that alone, relative; diffuse: 0 by a model, 1 measured */
    NR_WARN_READINGS_LEFT_OUT, /* how many */
    NR_WARN_GAPS_LEFT_OUT,     /* s; flow: 0 not used, 1 used */
    NR_WARN_SUN_ANGLE_DOUBTFUL,
    NR_WARN_NO_LID,
    NR_WARN_PUMP_UNSEEN,
    NR_WARN_STATED_VALUE_DOUBTFUL, /* about: label; stated uncertainties away; 0 above, 1 below */
    NR_WARN_TESTED_RANGE,          /* K over air, from, to */
    NR_WARN_LOSS_UNCERTAIN,        /* K between the two */
    NR_WARN_LOSS_NOT_DETERMINED,
    NR_WARN_LOSS_AS_USUAL,       /* rows; the usual loss and its u, W/(m2 K) */
    NR_WARN_RESIDUALS_NOT_WHITE, /* about: folder, other: channel; correlation */
    NR_WARN_OUTLIERS,            /* about: folder, other: channel; outliers, of how many */
    NR_WARN_ASSUMED_UNCERTAINTY, /* nr_warnings.assumed */
    /* compare */
    NR_WARN_LOSS_INCLUDES_STORE_FOR_ALL,
    /* predict, size */
    NR_WARN_OUTSIDE_TESTED,      /* K over air, from, to; W/m2, from, to */
    NR_WARN_OUTSIDE_TESTED_RISE, /* K over air, from, to */
    NR_WARN_CLEAR_SKY,           /* relative standard uncertainty of the irradiance */
    NR_WARN_TRUE_IRRADIANCE,
    NR_WARN_SAME_METER,
    NR_WARN_PANEL_PUMP, /* W/m2, start, stall; L/min */
    NR_WARN_WIND_UNUSED,
    NR_WARN_SAME_BUILD, /* L/(min m2) */
    NR_WARN_SAME_AIR,
    NR_WARN_OTHER_CONTAINER, /* W/K taken for the record's own, and its u */
    /* pump */
    NR_WARN_TUBE_UNKNOWN,
    NR_WARN_STRAIGHT_TUBE,
    NR_WARN_REGIME_UNCERTAIN,
    NR_WARN_SWITCHED,
    /* plan */
    NR_WARN_NARROW_RANGE, /* K over air, from, to */
    NR_WARN_PLAN_LOSS_INCLUDES_STORE,
    NR_WARN_PLAN_NO_LID,
    NR_WARN_NO_WIND,
    /* cautions */
    NR_WARN_SCALD,       /* degC; seconds to a burn, below 2: shorter than the tables; 0
                            likely, 1 possible */
    NR_WARN_BOILING,     /* degC */
    NR_WARN_LEGIONELLA,  /* degC, from, to */
    NR_WARN_STAGNATION,  /* K over air: value, lo95, hi95 */
    NR_WARN_CLOSED_LOOP, /* degC of the box */
    NR_WARN_COUNT
} nr_warning_code;

/* "loss-includes-store": lower case with dashes, the `code` of the JSON documents. */
const char *nr_warning_name(nr_warning_code code);

#define NR_WARNING_NUMBERS 4
typedef struct nr_warning {
    nr_warning_code code;
    char about[NR_ERR_FILE], other[64]; /* as in the files, not cleaned yet */
    double number[NR_WARNING_NUMBERS];
} nr_warning;

/* An input for which the rig file states no uncertainty. */
#define NR_ASSUMED 24
typedef struct nr_assumed {
    char label[96]; /* of the fit's term */
    char unit[16];  /* of u, as fit terms write it; "" a relative one */
    double u;
} nr_assumed;

#define NR_WARNINGS 24
typedef struct nr_warnings {
    size_t count;
    nr_warning item[NR_WARNINGS];
    size_t assumed_count;
    nr_assumed assumed[NR_ASSUMED]; /* of NR_WARN_ASSUMED_UNCERTAINTY */
} nr_warnings;

/* Adds one; beyond NR_WARNINGS it is dropped. The same about the same is not added twice. */
void nr_warn(nr_warnings *warnings, nr_warning warning);

/* In place: nr_warning_add(&w, NR_WARN_BOILING, .number = {98.2}). */
#define nr_warning_add(warnings, ...) nr_warn(warnings, (nr_warning){.code = __VA_ARGS__})

/* The first with this code string; NULL when there is none. */
const nr_warning *nr_warning_find(const nr_warnings *warnings, const char *name);

#endif
