/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fit and compare as CSV: a row for each quantity, named as in JSON. */
#include "analyze/show/csv_cells.h"
#include "analyze/show/show.h"

#define HEADER "collector,against,quantity," NR_CSV_QUANTITY "\n"

static void row(FILE *to, const char *collector, const char *against, const char *name,
                const nr_quantity *q)
{
    nr_csv_text(to, true, collector);
    nr_csv_text(to, false, against);
    nr_csv_text(to, false, name);
    nr_csv_quantity(to, q);
    fputc('\n', to);
}

static void fit_rows(FILE *to, const char *name, const nr_fit *f)
{
    const struct {
        const char *name;
        const nr_quantity *q;
    } rows[] = {{"eta0", &f->eta0},
                {"eta0_normal", &f->eta0_normal},
                {"a1", &f->a1},
                {"a2", &f->a2},
                {"a5", &f->a5},
                {"store_loss", &f->store_loss},
                {"run_efficiency", &f->run_efficiency},
                {"stagnation_K", &f->stagnation_K},
                {"time_constant_s", &f->time_constant_s}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        row(to, name, "", rows[i].name, rows[i].q);
}

nr_code nr_csv_fits(FILE *to, nr_fit *const *fit, size_t count, nr_err *err)
{
    fputs(HEADER, to);
    for (size_t i = 0; i < count; i++)
        fit_rows(to, fit[i]->collector_name, fit[i]);
    return nr_csv_done(to, err);
}

/* A number without an uncertainty of its own. */
static nr_quantity plain(double value)
{
    nr_quantity q = nr_quantity_unknown(NR_UNIT_ONE);
    q.known = true;
    q.value = value;
    return q;
}

nr_code nr_csv_compare(FILE *to, const nr_compare *c, nr_err *err)
{
    fputs(HEADER, to);
    for (size_t i = 0; i < c->builds; i++) {
        nr_quantity reached = plain(c->heat_up[i].probability_reached);
        fit_rows(to, c->label[i], c->build[i]);
        row(to, c->label[i], "", "heat_up_s", &c->heat_up[i].time_s);
        row(to, c->label[i], "", "probability_reached", &reached);
    }
    for (size_t i = 0; i < c->differences; i++) {
        const nr_difference *d = &c->difference[i];
        const char *of = c->label[d->of], *against = c->label[d->against];
        nr_quantity better = plain(d->probability_better);
        row(to, of, against, "eta0", &d->eta0);
        row(to, of, against, "a1", &d->a1);
        row(to, of, against, "heat_up_s", &d->heat_up_s);
        row(to, of, against, "probability_better", &better);
    }
    return nr_csv_done(to, err);
}
