/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The same records once more, with a term less. */
#include "analyze/joint/far.h"
#include "analyze/joint/inside.h"

bool nr_joint_guesses_back(const nr_joint *j, size_t build)
{
    for (size_t i = 0; i < j->pieces; i++) {
        int at = j->piece[i].index[NR_TERM_LN_BACK];
        if (j->piece[i].build == build && at >= 0 && j->parameter[at].ask[0])
            return true;
    }
    return false;
}

nr_code nr_joint_without_back(const nr_joint *j, size_t build, nr_joint **out, nr_err *err)
{
    const nr_series *series[NR_JOINT_RUNS];
    size_t build_of[NR_JOINT_RUNS] = {0}, run[NR_JOINT_RUNS], runs = 0;
    for (size_t r = 0; r < j->runs; r++)
        if (j->build_of[r] == build)
            run[runs] = r, series[runs++] = j->series[r];
    nr_joint_begin *begin = nr_joint_begin_at(j);
    nr_joint_options options = j->options;
    options.begin = begin;
    options.no_back = true;
    options.progress = NULL;
    nr_far_options_of(&j->options, build, run, runs, &options);
    *out = NULL;
    nr_code code = begin ? nr_joint_setup(series, build_of, runs, 1, &options, out, err)
                         : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code)
        code = nr_joint_solve(*out, err);
    nr_joint_begin_free(begin);
    if (!code)
        (*out)->options.begin = NULL;
    if (code) {
        nr_joint_free(*out);
        *out = NULL;
    }
    return code;
}
