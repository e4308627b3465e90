/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The day's output by ISO 9459-2 (form from memory): a plane through the records. */
#include "analyze/estimate/linfit.h"
#include "analyze/fit/standard_parts.h"

#include <math.h>

bool nr_day_output_fit(size_t n, const double *irradiation, const double *difference_K,
                       const double *output_J, nr_day_output *out)
{
    double design[3 * NR_JOINT_RUNS];
    *out = (nr_day_output){.days = n};
    if (n < NR_DAYS_LEAST || n > NR_JOINT_RUNS)
        return false;
    for (size_t i = 0; i < n; i++) {
        design[3 * i] = irradiation[i];
        design[3 * i + 1] = difference_K[i];
        design[3 * i + 2] = 1;
    }
    nr_linfit_problem p = {
        .n = n, .p = 3, .design = design, .y = output_J, .errors = NR_LINFIT_FROM_RESIDUALS};
    nr_linfit *f = NULL;
    if (nr_linfit_solve(&p, &f, NULL))
        return false;
    double dof = (double)n - 3;
    out->per_irradiation = nr_quantity_make(f->beta[0], nr_linfit_u(f, 0), 0, dof, NR_UNIT_M2);
    out->per_difference = nr_quantity_make(f->beta[1], nr_linfit_u(f, 1), 0, dof, NR_UNIT_J_K);
    out->constant = nr_quantity_make(f->beta[2], nr_linfit_u(f, 2), 0, dof, NR_UNIT_J);
    out->residual_J = f->sd;
    out->known = true;
    nr_linfit_free(f);
    return true;
}

nr_code nr_standard_days(const nr_joint *j, nr_standard *s, nr_err *err)
{
    double sun[NR_JOINT_RUNS] = {0}, heat[NR_JOINT_RUNS] = {0}, difference[NR_JOINT_RUNS] = {0};
    double air[NR_JOINT_RUNS] = {0}, steps[NR_JOINT_RUNS] = {0};
    size_t runs = nr_joint_runs(j);
    bool container = true; /* the output is what the water keeps: a bench has none */
    nr_derive_energy energy;
    nr_code code = nr_derive_energy_open(j, 0, &energy)
                       ? NR_OK
                       : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t i = 0; !code && i < nr_joint_pieces(j); i++) {
        nr_piece_view p = nr_joint_piece(j, i);
        nr_loop_params q = nr_joint_params(j, i, nr_joint_x(j));
        container = container && (!p.driven || p.fits[NR_OUT_STORE]);
        for (size_t k = 0; k < p.part->steps; k++)
            air[p.run] += p.part->air_degC[k];
        if (!(steps[p.run] > 0)) /* the first piece: the water as it was filled */
            difference[p.run] = -q.t_store_degC;
        steps[p.run] += (double)p.part->steps;
        sun[p.run] += energy.sun_J_m2[i];
        heat[p.run] += q.store_J_K * energy.rise_K[i];
    }
    nr_derive_energy_close(&energy);
    for (size_t r = 0; r < runs; r++)
        difference[r] += air[r] / steps[r];
    if (!code && container)
        (void)nr_day_output_fit(runs, sun, difference, heat, &s->day);
    return code;
}
