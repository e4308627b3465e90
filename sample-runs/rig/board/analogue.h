/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The converter's inputs: volts and noise in, codes of 10 bits out. */
#ifndef NR_BOARD_ANALOGUE_H
#define NR_BOARD_ANALOGUE_H

#include <stdint.h>

#define NR_ANALOGUE_INPUTS 6

typedef struct nr_analogue {
    double volt[NR_ANALOGUE_INPUTS];
    double supply_V, reference_V; /* the true ones */
    double noise;                 /* standard deviation of the converter's noise, steps */
    double hum_V;                 /* amplitude of mains hum on every input */
    uint64_t chance;              /* state of the noise; any start */
} nr_analogue;

/* The code that the converter gives at this time: rounded to the step, as the data sheet's ideal
 * transfer function does. against_supply: else the internal reference. */
unsigned nr_analogue_code(nr_analogue *a, unsigned input, int against_supply, double now_s);

#endif
