/* SPDX-License-Identifier: GPL-3.0-or-later */
/* ITS-90 thermocouple coefficients: NIST Monograph 175, the same as in IEC 60584-1. */
#ifndef NR_CONVERT_ITS90_H
#define NR_CONVERT_ITS90_H

#define NR_ITS90_TERMS 15

/* y = sum of c[i] x^i for low <= x < high (the last piece includes its end). */
typedef struct nr_its90_piece {
    double low, high;
    int terms; /* 0 ends the list */
    double c[NR_ITS90_TERMS];
} nr_its90_piece;

typedef struct nr_its90_type {
    char letter;
    nr_its90_piece forward[3]; /* degC -> mV */
    /* Type K above 0 degC: plus bump[0] exp(bump[1] (t - bump[2])^2). */
    double bump[3];
    nr_its90_piece inverse[3]; /* mV -> degC, approximate */
} nr_its90_type;

/* Indexed by nr_thermocouple. */
extern const nr_its90_type nr_its90_types[2];

#endif
