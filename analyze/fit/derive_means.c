/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a test bench's spreadsheet makes of the record: ten-minute means of the heat that flow and
 * probes say, regressed on the irradiance, the mean fluid temperature over the air and its rate,
 *
 *     q / A = eta0 G - a1 (Tm - Ta) - a5 dTm/dt
 *
 * (the quasi-dynamic equation of ISO 9806 without its terms of wind, sky and angle). It knows
 * nothing of sensors' errors, priors or the container. */
#include "analyze/estimate/linfit.h"
#include "analyze/fit/derive.h"
#include "analyze/physics/water.h"

#include <math.h>
#include <stdlib.h>

#define WINDOW_S 600.0
#define LEAST_SUN_W_M2 200.0
#define LEAST_WINDOWS 6
/* In one smooth heat-up the rate goes with the other two: a heat capacity that comes out no better
 * than this is held at the fit's own instead. */
#define TOLD 0.3

typedef struct rows {
    size_t n, room;
    double *design; /* [n * 3] */
    double *gain;   /* [n] W/m2 */
} rows;

static bool room_for(rows *r, size_t more)
{
    if (r->n + more <= r->room)
        return true;
    size_t room = 2 * (r->n + more);
    double *design = realloc(r->design, 3 * room * sizeof(double));
    r->design = design ? design : r->design;
    double *gain = realloc(r->gain, room * sizeof(double));
    r->gain = gain ? gain : r->gain;
    if (!design || !gain)
        return false;
    r->room = room;
    return true;
}

/* One window of blocks; false: not all of it can be used. */
static bool window(const nr_series *s, const nr_part *p, size_t first, size_t n, double *row,
                   double *gain)
{
    double sum[3] = {0}, q = 0, moment = 0, centre = ((double)n - 1) / 2;
    for (size_t b = first; b < first + n; b++) {
        double in = p->reading[NR_OUT_INLET][b], out = p->reading[NR_OUT_OUTLET][b];
        double mean = (in + out) / 2, kg_s = p->flow_L_min[b] / 60000 * nr_water_density_kg_m3(in);
        if (!p->settled[b] || !p->bright[b] || isnan(mean) || isnan(kg_s))
            return false;
        double sun = 0, air = 0;
        for (size_t k = b * s->steps_per_block; k < (b + 1) * s->steps_per_block; k++) {
            sun += p->sun_W_m2[k] / (double)s->steps_per_block;
            air += p->air_degC[k] / (double)s->steps_per_block;
        }
        if (sun <= LEAST_SUN_W_M2)
            return false;
        sum[0] += sun;
        sum[1] += mean - air;
        q += kg_s * nr_water_cp_J_kgK(mean) * (out - in);
        moment += mean * ((double)(b - first) - centre);
    }
    double area = s->run->rig.collector.gross_area_m2.value, m = (double)n;
    row[0] = sum[0] / m;
    row[1] = -sum[1] / m;
    row[2] = -moment * 12 / (m * (m * m - 1)) / s->block_s;
    *gain = q / m / area;
    return true;
}

static bool collect(const nr_joint *j, size_t build, rows *r)
{
    for (size_t i = 0; i < nr_joint_pieces(j); i++) {
        nr_piece_view piece = nr_joint_piece(j, i);
        const nr_part *p = piece.part;
        size_t n = (size_t)(WINDOW_S / piece.series->block_s + 0.5);
        if (piece.build != build || !piece.series->flow_known || !p->reading[NR_OUT_INLET] ||
            !p->reading[NR_OUT_OUTLET] || n < 2)
            continue;
        if (!room_for(r, p->blocks / n))
            return false;
        for (size_t b = 0; b + n <= p->blocks; b += n)
            if (window(piece.series, p, b, n, r->design + 3 * r->n, r->gain + r->n))
                r->n++;
    }
    return true;
}

static nr_linfit *regress(const rows *r, size_t columns, double a5)
{
    double *design = malloc(r->n * columns * sizeof(double));
    double *y = malloc(r->n * sizeof(double));
    nr_linfit *line = NULL;
    for (size_t i = 0; design && y && i < r->n; i++) {
        for (size_t c = 0; c < columns; c++)
            design[i * columns + c] = r->design[3 * i + c];
        y[i] = r->gain[i] - (columns < 3 ? a5 * r->design[3 * i + 2] : 0);
    }
    if (design && y) {
        nr_linfit_problem problem = {
            .n = r->n, .p = columns, .design = design, .y = y, .errors = NR_LINFIT_FROM_RESIDUALS};
        if (nr_linfit_solve(&problem, &line, NULL) != NR_OK)
            line = NULL;
    }
    free(design);
    free(y);
    return line;
}

static void put(const nr_linfit *line, size_t windows, nr_fit *f)
{
    double dof = (double)(line->n - line->p);
    f->means = (nr_means){.known = true, .windows = windows, .a5_held = line->p < 3};
    f->means.eta0 = nr_quantity_make(line->beta[0], nr_linfit_u(line, 0), f->eta0.u_systematic, dof,
                                     NR_UNIT_ONE);
    f->means.a1 = nr_quantity_make(line->beta[1], nr_linfit_u(line, 1), f->a1.u_systematic, dof,
                                   NR_UNIT_W_M2K);
    f->means.a5 =
        line->p < 3 ? nr_quantity_unknown(NR_UNIT_J_M2K)
                    : nr_quantity_make(line->beta[2], nr_linfit_u(line, 2), 0, dof, NR_UNIT_J_M2K);
}

nr_code nr_derive_means(const nr_joint *j, size_t build, nr_fit *f, nr_err *err)
{
    rows r = {0};
    f->means = (nr_means){.eta0 = nr_quantity_unknown(NR_UNIT_ONE),
                          .a1 = nr_quantity_unknown(NR_UNIT_W_M2K),
                          .a5 = nr_quantity_unknown(NR_UNIT_J_M2K)};
    nr_code code = collect(j, build, &r) ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code && r.n >= LEAST_WINDOWS) {
        nr_linfit *line = regress(&r, 3, 0);
        bool told = line && nr_linfit_u(line, 2) < TOLD * line->beta[2];
        if (!told && f->a5.known) {
            nr_linfit_free(line);
            line = regress(&r, 2, f->a5.value);
            told = line != NULL;
        }
        if (told)
            put(line, r.n, f);
        nr_linfit_free(line);
    }
    free(r.design);
    free(r.gain);
    return code;
}
