/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of the joint estimate: only analyze/joint and its unit test look in here. */
#ifndef NR_JOINT_INSIDE_H
#define NR_JOINT_INSIDE_H

#include "analyze/joint/joint.h"
#include "analyze/model/steady.h"

struct nr_term_row;

typedef struct nr_parameter {
    nr_term term;
    const struct nr_term_row *row; /* its */
    int variant;
    char key[2 * NR_NAME];
    double start, scale;
    bool has_prior, stated;
    double prior, prior_u;
    double said_u; /* of which: stated or assumed, without what is far (far.h) */
    double asked_u;            /* which u would be left, were it stated ... */
    const char *ask;           /* the rig file's word that would tell, where it does not; or "" */
    size_t piece;              /* the first that has it */
    size_t group, group_count; /* of parameters whose priors lean on each other; 0: none (like.h) */
} nr_parameter;

/* Means of a driven piece: of the collector over the air, irradiance, outlet over inlet. */
typedef struct nr_piece_means {
    double over_air_K, sun_W_m2, rise_K, blocks;
} nr_piece_means;

/* One part of one run, as the estimate sees it. */
typedef struct nr_piece {
    const nr_series *series;
    const nr_part *part;
    size_t run, build;
    nr_loop_input input;
    const struct nr_term_row *term[NR_TERMS]; /* the table by term: asked for at every evaluation */
    int index[NR_TERMS];                      /* of the parameter, or -1: the fixed value holds */
    double fixed[NR_TERMS];
    const double *measured[NR_OUTS]; /* [blocks] what is fitted: part->reading, or a simulation */
    nr_piece_means seen;             /* of the rows that are fitted; zeros where not driven */
    double alike;                    /* 1, and half of each other record that is misread alike */
    bool driven;                     /* by the readings of inlet and flow; else a closed loop */
    bool fits[NR_OUTS];              /* this channel enters the fit */
    unsigned char *used[NR_OUTS];    /* [blocks] */
    size_t used_count[NR_OUTS];
    size_t row[NR_OUTS]; /* first residual row of the channel */
    nr_noise noise[NR_OUTS], noise_before[NR_OUTS];
    nr_noise noise_begins[NR_OUTS]; /* where a search begins; sigma 0: not known */
    nr_whitener whitener[NR_OUTS];
    double *fronts;      /* [blocks] K2, of a driven outlet (misreading.h); NULL: none */
    unsigned char *even; /* [blocks] used, and where the noise is taken from */
    double *reading[NR_OUTS], *tangent[NR_OUTS]; /* work space of the simulation */
} nr_piece;

/* The blocks that tell a channel's noise. */
static inline const unsigned char *nr_piece_tells(const nr_piece *p, int channel)
{
    return channel == NR_OUT_OUTLET && p->even ? p->even : p->used[channel];
}

/* The outlet answers the sun of the last minutes, and its readings are fitted: what the sun did
 * between its own (series/unseen.h) is in their noise, once. A handful tells no noise. */
#define NR_TELL_NOISE 20
static inline bool nr_piece_shows_sun(const nr_piece *p)
{
    return p->driven && p->fits[NR_OUT_OUTLET] && p->used_count[NR_OUT_OUTLET] >= NR_TELL_NOISE;
}

/* Where a build was run on average, over the sunny, pumped time. */
typedef struct nr_pivot {
    double entering; /* (T - Tair)/G of the water that enters the collector, m2 K/W */
    nr_steady_conditions at; /* flow 0: it never ran in the sun */
} nr_pivot;

struct nr_joint {
    nr_joint_options options;
    size_t runs, builds, pieces;
    const nr_series *series[NR_JOINT_RUNS];
    size_t build_of[NR_JOINT_RUNS];
    nr_piece *piece;             /* [pieces] */
    size_t parameters, rows;     /* rows = residuals and priors */
    nr_parameter *parameter;     /* [parameters] */
    nr_pivot pivot[NR_JOINT_RUNS]; /* by build */
    bool store_loss_separate[NR_JOINT_RUNS]; /* by build: the store's loss is its own parameter */
    /* after nr_joint_solve */
    double hidden_K[NR_JOINT_RUNS]; /* by build */
    double *x;                      /* [parameters] */
    double *covariance;             /* [parameters^2] */
    double *residual;               /* [rows] raw K for channels (NAN not used), not whitened */
    double *whitened;               /* [rows] the same whitened */
    size_t spent;                   /* evaluations, where they are limited */
    bool near;                      /* a search from another's solution */
    size_t threads;                 /* 0: as many as there are cores */
    bool has_slopes;                /* of somewhere near x, in every piece */
    bool stands;                    /* every piece was simulated at x last */
    double chi2_data;               /* of the whitened channel rows */
    size_t used_rows;
    /* Of nr_joint_part: what it is a part of and borrows its pieces' insides from. */
    const nr_joint *whole;
    size_t *of_whole; /* [parameters] which of the whole's each is */
};

/* One more fit from joint->x, the noise models as they are: for data or priors that were replaced
 * after nr_joint_solve. near: the solution is not far, and is found in a few evaluations or not. */
nr_code nr_joint_refit(nr_joint *joint, bool near, nr_err *err);
/* Hundreds of parameters: nothing is laid out in full (blocks.h). */
bool nr_joint_is_large(const nr_joint *joint);

/* Puts starts and first noise where the other's solution was. */
void nr_joint_begin_from(nr_joint *joint, const nr_joint_begin *begin);

bool nr_joint_has_loop(const nr_joint *joint, const nr_series *series);

/* The first run recorded at the same time as this one; itself where there is none before. */
size_t nr_joint_first_at(const nr_joint *joint, size_t run);

/* Another build has as many covers and the same channels: the model misreads them alike. */
bool nr_joint_has_kin(const nr_joint *joint, size_t build);

/* The first of such builds that were tested at the same time; the build itself where there is no
 * other. */
size_t nr_joint_first_like(const nr_joint *joint, size_t build);

/* ---- the table of terms ---- */

/* What a prior is asked about. */
typedef struct nr_setting {
    nr_joint *joint;
    nr_piece *piece;
    size_t index; /* of the piece */
} nr_setting;

typedef struct nr_prior {
    double value, u;
    double beyond_u; /* added in quadrature where the record was asked (far.h) */
    bool stated;
    int variant;     /* index of the label */
    double asked_u;  /* and the standard uncertainty that would be left then */
    const char *ask; /* what to state, where it was not: "back in [collector]"; NULL: nothing */
    char key[2 * NR_NAME]; /* preset by the row's scope */
} nr_prior;

/* What one parameter belongs to: who has the same key shares it. */
typedef enum nr_scope { NR_OF_BUILD, NR_OF_RUN, NR_OF_SENSOR, NR_OF_PIECE } nr_scope;

/* Whose parameters of a term are partly the same, where nobody stated them. */
typedef enum nr_likeness {
    NR_LIKE_MAKE,   /* as many covers: one maker's habits, one kind of loss */
    NR_LIKE_KIN,    /* these, with the same channels */
    NR_LIKE_TESTED, /* these at the same time */
    NR_LIKE_HOUR    /* whatever stood in one garden at the same time */
} nr_likeness;

/* What the tangents of special terms are made from. */
typedef struct nr_chain {
    const nr_piece *piece;
    const nr_loop_params *params;
    double value;      /* of the term */
    const double *dyn; /* [NR_DYN_COUNT] of the reading */
} nr_chain;

#define NR_LABELS 3

typedef struct nr_term_row {
    nr_term term;
    const char *name;
    const char *label[NR_LABELS]; /* for people; by the prior's variant */
    const char *channel;
    const char *unit, *natural; /* as fitted; of the thing itself */
    nr_transform transform;
    nr_scope scope;
    nr_term family; /* terms of one family and key are one parameter */
    bool lasts, surprises, input, model;
    bool measured_once; /* by hand: the same before and after a change in one record */
    double like;        /* correlation of the priors of those who are alike so; 0: none */
    nr_likeness likeness;
    /* What is known beforehand; the source stands with the numbers. False: no parameter here, its
     * value is p->value (0 as preset). */
    bool (*prior)(const nr_setting *s, nr_prior *p);
    /* How it enters the simulation. `member`: offset of the double in nr_loop_params that it is,
     * after its transform, and `dyn` the tangent to it (as fitted); else `enter` and `chain` do it;
     * a term with neither does not enter. */
    bool has_member;
    size_t member;
    int dyn;
    void (*enter)(const nr_piece *piece, double value, nr_loop_params *params);
    double (*chain)(const nr_chain *c);
} nr_term_row;

const nr_term_row *nr_term_find(nr_term term);
extern const nr_term_row nr_collector_terms[], nr_store_terms[], nr_sensor_terms[],
    nr_model_terms[];
extern const size_t nr_collector_terms_count, nr_store_terms_count, nr_sensor_terms_count,
    nr_model_terms_count;

/* Like builds, in what nobody stated: one maker's habits, one way to fasten and to seal. But one of
 * a few things that this is made of is as a rule what the comparison is about, and differs on
 * purpose. So half of the variance is taken to be theirs together. Common practice, no source: a
 * choice between nothing and the model's own LIKE_SHARE.
 *
 * What it is not for: what was stated (a weighing, an area, a meter: done once for each build, with
 * errors of its own, whoever did it), and what the probes of each do by themselves (their drift,
 * terms_sensors.c). What two builds really share (one pyranometer, one air, one wind, one sky, one
 * hour) needs no such number: it is one parameter. Of the variance of the time between two like
 * builds side by side, everything usual stated, the weighing of the water (0.5 % each) has 0.57,
 * the model's own error 0.22 (after LIKE_SHARE), probes and meters 0.07, noise 0.05, water that may
 * be gone 0.05, all else 0.04. */
#define NR_ALIKE 0.5

/* Relative uncertainty of a stated quantity, or the assumed one. */
double nr_relative_u(const nr_value *v, double assumed, bool *stated);

#define NR_MEMBER(m) .has_member = true, .member = offsetof(nr_loop_params, m)

#endif
