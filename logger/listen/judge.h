/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is the rig wired right? What was heard, judged in plain words. */
#ifndef NR_LISTEN_JUDGE_H
#define NR_LISTEN_JUDGE_H

#include "logger/listen/heard.h"

#define NR_ADVICE_TEXT 400
#define NR_ADVICE_MOST 64

typedef enum nr_advice_weight {
    NR_ADVICE_NOTE,  /* worth knowing */
    NR_ADVICE_DOUBT, /* look at it before the test */
    NR_ADVICE_FAULT  /* a channel or an adapter gives nothing */
} nr_advice_weight;

typedef struct nr_advice {
    nr_advice_weight weight;
    const char *code;          /* "no-reading", stable, for JSON */
    char channel[NR_NAME];     /* "": about an adapter or the rig */
    char text[NR_ADVICE_TEXT]; /* one sentence or two: what is, what to do; clean */
} nr_advice;

typedef struct nr_advices {
    size_t count;
    nr_advice advice[NR_ADVICE_MOST]; /* faults first */
} nr_advices;

/* us: temperatures are said in degF, irradiance in Btu/(h ft2). */
void nr_judge(const nr_heard *heard, bool us, nr_advices *out);

/* How many channels give believable readings. */
size_t nr_judge_good_channels(const nr_heard *heard);

#endif
