/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit inspect`: is this record good, what is wrong, what to do about it. */
#ifndef NR_INSPECT_INSPECT_H
#define NR_INSPECT_INSPECT_H

#include "analyze/quality/quality.h"
#include "logger/base/err.h"
#include "logger/base/units.h"
#include "logger/run/folder.h"

typedef enum nr_severity { NR_SEVERITY_NOTE, NR_SEVERITY_DOUBT, NR_SEVERITY_FAULT } nr_severity;

/* One a wording; several may share a code (nr_finding_name), which is stable. Behind each: what its
 * numbers are, in SI. */
typedef enum nr_finding_code {
    NR_FIND_TOO_SHORT,     /* s */
    NR_FIND_BRIEF,         /* s */
    NR_FIND_SLOW_SAMPLING, /* s between rows */
    NR_FIND_TORN_END,
    NR_FIND_DAMAGED_LINES,     /* lines; the first */
    NR_FIND_GAP,               /* s */
    NR_FIND_GAPS,              /* the longest, s; all, s; how many */
    NR_FIND_DUPLICATES,        /* rows; the longest stretch, s */
    NR_FIND_CLOCK_STEP,        /* s; 0 forward, 1 back; 1: and again later */
    NR_FIND_CLOCK_JUMP,        /* days not believed; how many */
    NR_FIND_CLOCK_RATE,        /* relative */
    NR_FIND_CLOCK_RATE_ABSURD, /* relative */
    NR_FIND_MISSING_CHANNEL,
    NR_FIND_EMPTY_CHANNEL,
    NR_FIND_MISSING_READINGS,    /* fraction */
    NR_FIND_OUT_OF_RANGE,        /* readings; low, high of `dimension` */
    NR_FIND_OUT_OF_RANGE_STATED, /* the same, the range of the rig file */
    NR_FIND_SPIKES,              /* readings */
    NR_FIND_STUCK,               /* s */
    NR_FIND_SATURATED,           /* readings */
    NR_FIND_NEVER_CHANGES,
    NR_FIND_NOISY,      /* K */
    NR_FIND_NOISY_FLOW, /* L/min */
    NR_FIND_COARSE,     /* K */
    NR_FIND_SUN_BELOW_HORIZON,
    NR_FIND_SUN_BEHIND,
    NR_FIND_SUN_BEYOND_SKY,
    NR_FIND_SUN_TOO_HIGH, /* W/m2; what the sky gives, W/m2 */
    NR_FIND_OBLIQUE_SUN,  /* degrees, from, to */
    NR_FIND_NO_SUN,       /* W/m2 */
    NR_FIND_NO_SITE,
    NR_FIND_SWAPPED_PROBES,  /* K */
    NR_FIND_PROBES_DISAGREE, /* K; allowed, K; 0 inlet and store, 1 outlet and inlet without sun */
    NR_FIND_HEAT_BALANCE_CLOSES, /* loop over store; its u */
    NR_FIND_HEAT_BALANCE_OPEN,   /* loop over store; its u */
    NR_FIND_TOO_MUCH_HEAT,       /* water over sun */
    NR_FIND_LAG_COLLECTOR,       /* outlet behind sun, s */
    NR_FIND_LAG_STORE,           /* store behind inlet, s */
    NR_FIND_LAG_INLET,           /* inlet behind store, s */
    NR_FIND_PUMP_STOPS,          /* share it ran; stops; the longest, s */
    NR_FIND_FLOW_DEAD,
    NR_FIND_PUMP_UNKNOWN,
    NR_FIND_PUMP_NEVER_RAN,         /* says 0 the flow meter, 1 the supply, 2 the notes */
    NR_FIND_WRONG_UNIT_TEMPERATURE, /* the column's number; 0 kelvin, 1 degF */
    NR_FIND_WRONG_UNIT_SUN,         /* the column's number; 0 kW/m2, 1 a raw reading */
    NR_FIND_WRONG_UNIT_FLOW, /* loop over store; 0 L/h, 1 L/s, 2 gal/min, 3 gal/h or mL/s, 4 m3/h, 5
                                mL/min */
    NR_FIND_WRONG_UNIT_SPEED, /* L/min; m/s in the tube */
    NR_FIND_SMALL_SPREAD,     /* K over air, from, to */
    NR_FIND_AIR_SWINGS,       /* degC, from, to */
    NR_FIND_STEADY_STRICT,    /* how many */
    NR_FIND_STEADY_FIELD,     /* how many */
    NR_FIND_SUN_BROUGHT,      /* u of that alone, relative */
    NR_FIND_SUN_MODEL,        /* relative u of a clear-sky irradiance */
    /* s clouded; 0 sure, 1 or the pump stood; s from the start to the first */
    NR_FIND_CLOUDS,
    NR_FIND_CLOUDS_UNSEEN,
    NR_FIND_NOT_STATED, /* nr_unstated: which question is open */
    NR_FIND_NO_LID,
    NR_FIND_SCALD,    /* degC; seconds to a burn */
    NR_FIND_LUKEWARM, /* degC, from, to */
    NR_FIND_COUNT
} nr_finding_code;

/* "swapped-probes": lower case with dashes, the `code` of the JSON document. */
const char *nr_finding_name(nr_finding_code code);

#define NR_FINDING_NUMBERS 3
typedef struct nr_finding {
    nr_finding_code code;
    nr_severity severity;
    char channel[NR_NAME]; /* "" when about the whole record */
    double from_s, to_s;   /* part of the record it is about; NAN: all of it */
    double number[NR_FINDING_NUMBERS];
    nr_dimension dimension; /* of the channel */
} nr_finding;

/* What the record is good for, all findings together. */
typedef enum nr_record_verdict {
    NR_RECORD_GOOD,
    NR_RECORD_LACKING,  /* sound, but without what a fit needs */
    NR_RECORD_DARK,     /* no sun, and nothing else is wrong: of use beside a sunny run */
    NR_RECORD_DOUBTFUL, /* can be fitted; finding[0] is a doubt */
    NR_RECORD_FAULTY,   /* can be fitted; finding[0] is a fault to mend first */
    NR_RECORD_UNFIT     /* cannot be fitted as it is; finding[0] says why */
} nr_record_verdict;

typedef struct nr_channel_summary {
    char name[NR_NAME], unit[NR_NAME];
    size_t valid, spikes;
    double min, max, mean, stuck_s, noise; /* noise: standard deviation of fast changes */
} nr_channel_summary;

typedef struct nr_gap {
    double start_s, length_s;
} nr_gap;

#define NR_FINDINGS 64
#define NR_GAPS 64

typedef struct nr_inspect {
    char folder[NR_ERR_FILE];
    char title[256];
    size_t rows;
    double duration_s, interval_s, start_utc_s;
    size_t channels;
    nr_channel_summary channel[NR_RIG_CHANNELS];
    size_t gaps;
    nr_gap gap[NR_GAPS];
    size_t stops; /* of the pump, the first NR_GAPS of them */
    nr_gap stop[NR_GAPS];
    size_t findings;
    nr_finding finding[NR_FINDINGS]; /* the worst first */
    bool usable_for_store, usable_for_loop;
    size_t steady_windows;
    double incidence_lo_deg, incidence_hi_deg; /* NAN unknown */
    nr_record_verdict verdict;
    size_t doubts; /* findings that are more than notes */
    /* Filled by who asks the fit: what it says where it refuses this record, and the reason's code
     * ("no-answer" where there is no answer to withhold); "" it does not, or was not asked. */
    char refusal_code[NR_NAME], refusal[1024];
} nr_inspect;

/* Looks at a record; never fails for a bad record (that is a finding). */
nr_code nr_inspect_run(const nr_run *run, nr_inspect **out, nr_err *err);
/* The same where its readings are judged already. */
nr_code nr_inspect_judged(const nr_run *run, const nr_quality *quality, nr_inspect **out,
                          nr_err *err);
void nr_inspect_free(nr_inspect *inspect);

/* A record's verdicts together, so that who fits it after looking at it does not look again. */
typedef struct nr_judged {
    nr_quality *quality;
    nr_inspect *inspect;
} nr_judged;

/* Free with nr_judged_free, also after an error. */
nr_code nr_judge_run(const nr_run *run, nr_judged *out, nr_err *err);
void nr_judged_free(nr_judged *judged);

#endif
