/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One collector, fitted and kept open for questions: what predict, size and pump start from. */
#ifndef NR_FIT_SOLVED_H
#define NR_FIT_SOLVED_H

#include "analyze/fit/derive.h"

typedef struct nr_solved {
    size_t runs;
    nr_series *series[NR_JOINT_RUNS];
    nr_joint *joint;
    nr_fit *fit;
    nr_curve_at at;  /* the conditions of the record; at.conditions.flow_W_K: its mean flow */
    double wind_m_s; /* mean wind of the records, of which the loss is; NAN not recorded */
    /* Irradiance at which the pump on its panel starts and stalls; NAN: the records show none. */
    double panel_start_W_m2, panel_stall_W_m2;
} nr_solved;

/* runs[count]: all of one collector; they must outlive *out. NR_CANNOT with the reason when the
 * records cannot answer. Free with nr_solved_free, also after an error. */
nr_code nr_solve_runs(const nr_run *const *runs, size_t count, const nr_fit_options *options,
                      nr_solved *out, nr_err *err);
void nr_solved_free(nr_solved *solved);

/* The rig file of the first run: site, plane, tube. */
const nr_rig *nr_solved_rig(const nr_solved *solved);

#endif
