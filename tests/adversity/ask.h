/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The real program, asked as a person would: a black box with an exit status and a JSON document.
 */
#ifndef NR_ADVERSITY_ASK_H
#define NR_ADVERSITY_ASK_H

#include <stdbool.h>

#define AD_POINTS 3

typedef struct ad_interval {
    double value, lo95, hi95; /* NAN: not given */
} ad_interval;

typedef struct ad_answer {
    int status;      /* exit status; -1: killed or not started */
    bool doubtful;   /* trust.grade */
    char codes[240]; /* of trust.reasons, with spaces */
    char refusal[160];
    bool mean, with_container;
    double x[AD_POINTS]; /* low, middle and high end of the tested range */
    ad_interval eta[AD_POINTS], a1, store_loss;
} ad_answer;

void ad_ask(const char *program, const char *folder, bool clear_sky, ad_answer *a);

#endif
