/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the readings of one bath or two to the keys of rig.ini: what each thermometer's channel
 * should say so that all agree. Pure; calibrate.h has the arithmetic.
 */
#ifndef NR_BATH_KEYS_H
#define NR_BATH_KEYS_H

#include "logger/bath/bath_rows.h"
#include "logger/convert/calibrate.h"

/* Standard uncertainties of fixed points; common practice, no source. */
#define NR_ICE_U_K 0.05       /* a slush of crushed ice from clean water, stirred */
#define NR_BOILING_U_K 0.1    /* besides the pressure: superheating, depth */
#define NR_WEATHER_U_PA 800.0 /* the day's pressure against the elevation's mean */
#define NR_STATION_U_PA 100.0 /* a barometer's reading at the place */
/* Two probes tied together in a stirred pot differ by this much. */
#define NR_PLACE_U_K 0.01

typedef enum nr_bath_kind {
    NR_BATH_RELATIVE, /* no reference: the mean of the probes */
    NR_BATH_CHANNEL,  /* a channel of the rig is the reference */
    NR_BATH_STATED,   /* read off a thermometer by a person */
    NR_BATH_ICE,
    NR_BATH_BOILING
} nr_bath_kind;

typedef struct nr_bath_plan {
    nr_bath_kind kind;
    size_t reference; /* NR_BATH_CHANNEL: index in the rig */
    double degC;      /* stated, ice, boiling */
    double u_K;       /* of the reference */
    double u_place_K;
} nr_bath_plan;

/* Boiling point and its uncertainty at a pressure in Pa; NAN pressure: from the elevation in m. */
bool nr_bath_boiling(double pressure_Pa, double elevation_m, double *degC, double *u_K);

typedef struct nr_bath_key_set {
    size_t channel;         /* index in the rig */
    nr_bath_probe probe[2]; /* in the first bath, and the second where there is one */
    bool has_line;          /* two baths and a law whose gain is a key */
    nr_two_point line;
    double rest_K; /* two baths without a line: what the offset leaves at either end */
    /* As they are to stand in the file, in the channel's unit; the old correction is counted in. */
    double offset, u_offset;
    double gain, u_gain; /* only with has_line */
} nr_bath_key_set;

typedef struct nr_bath_report {
    size_t baths; /* 1 or 2 */
    nr_bath_plan plan[2];
    nr_bath_result bath[2];
    double length_s[2];
    size_t probes;
    nr_bath_key_set set[NR_RIG_CHANNELS];
    /* Every thermometer of the rig was in the bath: what all are wrong by alike is in no
     * difference of temperatures, and u_offset leaves it out. */
    bool whole;
} nr_bath_report;

/* The thermometers that take part when nobody says which: all temperature channels but those that
 * only serve a thermocouple, and the reference. Returns how many. */
size_t nr_bath_default_probes(const nr_rig *rig, const nr_bath_plan *plan,
                              size_t probe[NR_RIG_CHANNELS]);

/* rows: [baths]. NR_CANNOT with the reason when the readings do not suffice. */
nr_code nr_bath_keys(const nr_rig *rig, const nr_bath_plan *plan, const nr_bath_rows *rows,
                     size_t baths, const size_t *probe, size_t probes, nr_bath_report *out,
                     nr_err *err);

/* Largest difference between two probes in the first bath, K, before the correction; and what is
 * left of it afterwards, 95 %. */
double nr_bath_spread_K(const nr_bath_report *report);
double nr_bath_left95_K(const nr_bath_report *report);

/* The values as they go into the file: rounded to the uncertainty's second digit. */
#define NR_BATH_KEYS_MOST 5
#define NR_BATH_VALUE 32
typedef struct nr_bath_entry {
    const char *key;
    char value[NR_BATH_VALUE];
} nr_bath_entry;

/* Fills up to NR_BATH_KEYS_MOST entries, returns how many. */
size_t nr_bath_entries(const nr_bath_key_set *set, nr_bath_entry *out);

#endif
