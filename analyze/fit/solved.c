/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/solved.h"

#include "analyze/fit/panel_pump.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static nr_code find_panel(nr_solved *s, nr_err *err)
{
    nr_panel_pump p;
    nr_code code = nr_panel_pump_find(s->series, s->runs, &p, err);
    if (code)
        return code;
    s->panel_stall_W_m2 = p.driven ? p.stall.W_m2.value : NAN;
    s->panel_start_W_m2 = p.driven && p.start.events ? fmax(p.start.W_m2.value, s->panel_stall_W_m2)
                                                     : s->panel_stall_W_m2;
    return NR_OK;
}

nr_code nr_solve_runs(const nr_run *const *runs, size_t count, const nr_fit_options *options,
                      nr_solved *s, nr_err *err)
{
    memset(s, 0, sizeof *s);
    if (count == 0 || count > NR_JOINT_RUNS)
        return nr_fail(err, NR_BAD, NULL, 0, "1 to %d runs can be fitted together, not %zu",
                       NR_JOINT_RUNS, count);
    size_t build_of[NR_JOINT_RUNS] = {0};
    for (s->runs = 0; s->runs < count; s->runs++) {
        nr_code code = nr_series_build(runs[s->runs], &s->series[s->runs], err);
        if (code)
            return code;
    }
    nr_code code = nr_fit_joint(s->series, build_of, count, 1, options, &s->joint, err);
    if (code)
        return code;
    nr_derive_options how = {.mean_reference = nr_derive_knows_flow(s->joint, 0),
                             .time_constant = false};
    code = nr_derive_fit(s->joint, 0, &how, &s->fit, err);
    if (!code)
        code = nr_trust_judge(s->joint, 0, NULL, s->fit, err);
    if (code)
        return code;
    s->at = nr_derive_conditions(s->joint, 0, how.mean_reference);
    s->wind_m_s = s->fit->mean_wind_m_s;
    return find_panel(s, err);
}

void nr_solved_free(nr_solved *s)
{
    nr_fit_free(s->fit);
    nr_joint_free(s->joint);
    nr_series_free_all(s->series, s->runs);
    memset(s, 0, sizeof *s);
}

const nr_rig *nr_solved_rig(const nr_solved *s)
{
    return &s->series[0]->run->rig;
}
