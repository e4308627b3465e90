/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit compare` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/show.h"
#include "analyze/tell/tell.h"

#include <stdio.h>

typedef const nr_quantity *(*build_quantity)(const nr_compare *, size_t);
typedef const nr_quantity *(*difference_quantity)(const nr_difference *);

static const nr_quantity *build_eta0(const nr_compare *c, size_t i)
{
    return &c->build[i]->eta0;
}
static const nr_quantity *build_a1(const nr_compare *c, size_t i)
{
    return &c->build[i]->a1;
}
static const nr_quantity *build_run(const nr_compare *c, size_t i)
{
    return &c->build[i]->run_efficiency;
}
static const nr_quantity *build_time(const nr_compare *c, size_t i)
{
    return &c->heat_up[i].time_s;
}
static const nr_quantity *difference_eta0(const nr_difference *d)
{
    return &d->eta0;
}
static const nr_quantity *difference_a1(const nr_difference *d)
{
    return &d->a1;
}
static const nr_quantity *difference_time(const nr_difference *d)
{
    return &d->heat_up_s;
}

/* One quantity of all builds, then its differences. */
typedef struct block {
    const char *title;
    nr_shown what;
    build_quantity of_build;
    difference_quantity of_difference; /* NULL: no difference is answered */
} block;

static const block blocks[] = {
    {"zero-loss efficiency eta0", NR_SHOWN_NUMBER, build_eta0, difference_eta0},
    {"loss coefficient a1", NR_SHOWN_COLLECTOR_LOSS, build_a1, difference_a1},
    {"heat-up on the reference day", NR_SHOWN_MINUTES, build_time, difference_time},
    {"efficiency of its own run", NR_SHOWN_NUMBER, build_run, NULL},
};

static void difference_row(FILE *to, const nr_compare *c, const nr_difference *d, const block *b,
                           nr_units units)
{
    char label[2 * NR_NAME + 8];
    const nr_quantity *q = b->of_difference(d);
    (void)snprintf(label, sizeof label, "  %s - %s", c->label[d->of], c->label[d->against]);
    nr_quantity_row(to, label, b->what, units, q);
}

static void block_rows(FILE *to, const nr_compare *c, const block *b, nr_units units)
{
    fprintf(to, "\n  %s\n", b->title);
    for (size_t i = 0; i < c->builds; i++) {
        char label[NR_NAME + 4];
        (void)snprintf(label, sizeof label, "  %s", c->label[i]);
        nr_quantity_row(to, label, b->what, units, b->of_build(c, i));
    }
    for (size_t i = 0; b->of_difference != NULL && i < c->differences; i++)
        difference_row(to, c, &c->difference[i], b, units);
}

static void how_sure(FILE *to, const nr_compare *c, nr_units units)
{
    char text[NR_TELL];
    fputs("\nHow sure\n", to);
    for (size_t i = 0; i < c->differences; i++) {
        nr_tell_compare_pair(text, sizeof text, c, &c->difference[i], units);
        nr_paragraph(to, "  - ", text);
    }
    nr_tell_compare_all_pairs(text, sizeof text, c);
    nr_paragraph(to, "  - ", text);
}

void nr_show_compare(FILE *to, const nr_compare *c, nr_units units)
{
    char text[NR_TELL];
    nr_trust_lines(to, &c->trust, units);
    nr_tell_compare_verdict(text, sizeof text, c, units);
    nr_paragraph(to, "", text);
    fputc('\n', to);
    nr_quantity_heading(to);
    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++)
        block_rows(to, c, &blocks[i], units);
    fputc('\n', to);
    nr_tell_compare_basis(text, sizeof text, c);
    nr_paragraph(to, "", text);
    nr_tell_compare_day(text, sizeof text, &c->day, units);
    nr_paragraph(to, "", text);
    how_sure(to, c, units);
    nr_warning_lines(to, "Mind", &c->warnings, units, NR_WARN_COUNT);
}
