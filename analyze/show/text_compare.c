/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit compare` as text. */
#include "analyze/show/lines.h"
#include "analyze/show/show.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"
#include "logger/base/text.h"

#include <stdio.h>
#include <string.h>

typedef const nr_quantity *(*build_quantity)(const nr_compare *, size_t);

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
/* One quantity of all builds, then its differences. */
typedef struct block {
    const char *title;
    nr_shown what;
    build_quantity of_build;
    nr_compared by; /* NR_COMPARED: no difference is answered */
} block;

static const block blocks[] = {
    {"zero-loss efficiency eta0", NR_SHOWN_NUMBER, build_eta0, NR_BY_ETA0},
    {"loss coefficient a1", NR_SHOWN_COLLECTOR_LOSS, build_a1, NR_BY_A1},
    {"heat-up on the reference day", NR_SHOWN_MINUTES, build_time, NR_BY_TIME},
    {"efficiency of its own run", NR_SHOWN_NUMBER, build_run, NR_COMPARED},
};

static void difference_row(FILE *to, const nr_compare *c, const nr_difference *d, const block *b,
                           nr_units units)
{
    char label[2 * NR_NAME + 8];
    nr_quantity q = nr_difference_of_all(c, d, b->by);
    (void)snprintf(label, sizeof label, "  %s - %s", c->label[d->of], c->label[d->against]);
    nr_quantity_row(to, label, b->what, units, &q);
}

static void block_rows(FILE *to, const nr_compare *c, const block *b, nr_units units)
{
    fprintf(to, "\n  %s\n", b->title);
    for (size_t i = 0; i < c->builds; i++) {
        char label[NR_NAME + 4];
        (void)snprintf(label, sizeof label, "  %s", c->label[i]);
        nr_quantity_row(to, label, b->what, units, b->of_build(c, i));
    }
    for (size_t i = 0; b->by < NR_COMPARED && i < c->differences; i++)
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

/* ---- more than two builds ---- */

/* Columns of the name; a longer one has a line of its own. */
#define NAME 17

/* "0.725 +-0.045": half of the 95 % interval. */
static void half_width(char *text, size_t size, nr_shown what, nr_units units, const nr_quantity *q)
{
    char value[NR_ROUNDED], half[NR_ROUNDED];
    nr_quantity d = nr_display_quantity(what, units, q);
    double wide = (d.hi95 - d.lo95) / 2;
    int place = nr_round_place(wide, 2);
    if (q->known)
        (void)snprintf(text, size, "%s +-%s", nr_round_text(d.value, place, value),
                       nr_round_text(wide, place, half));
    else
        (void)snprintf(text, size, "-");
}

static void rank_row(FILE *to, const nr_compare *c, size_t place, nr_units units)
{
    const nr_rank *r = &c->rank[place];
    const nr_quantity *t = &c->heat_up[r->build].time_s;
    char time[64] = "does not get there", eta0[64], a1[64], rank[32], lo[NR_ROUNDED],
         hi[NR_ROUNDED];
    char value[NR_ROUNDED];
    const char *name = c->label[r->build];
    nr_quantity d = nr_display_quantity(NR_SHOWN_MINUTES, units, t);
    int digits = nr_round_place(d.u, 2);
    if (t->known)
        (void)snprintf(time, sizeof time, "%s (%s..%s)", nr_round_text(d.value, digits, value),
                       nr_round_text(d.lo95, digits, lo), nr_round_text(d.hi95, digits, hi));
    half_width(eta0, sizeof eta0, NR_SHOWN_NUMBER, units, &c->build[r->build]->eta0);
    half_width(a1, sizeof a1, NR_SHOWN_COLLECTOR_LOSS, units, &c->build[r->build]->a1);
    nr_tell_rank(rank, sizeof rank, r);
    if (nr_columns(name, strlen(name)) > NAME) {
        nr_paragraph(to, "  ", name);
        name = "";
    }
    fputs("  ", to);
    nr_padded(to, name, NAME);
    fprintf(to, " %-8s %-5s %-20s %-13s %s\n", rank, r->letters[0] ? r->letters : "-", time, eta0,
            a1);
}

static void ranking(FILE *to, const nr_compare *c, nr_units units)
{
    char text[NR_TELL];
    nr_tell_ranking(text, sizeof text, c);
    nr_paragraph(to, "", text);
    fprintf(to, "\n  %*s %-8s %-5s %-20s %-13s %s\n", -NAME, "", "rank", "group", "heat-up, min",
            "eta0", "loss a1");
    for (size_t i = 0; i < c->builds; i++)
        rank_row(to, c, i, units);
    fprintf(to, "\n  a1 in %s\n\n", nr_display_of(NR_SHOWN_COLLECTOR_LOSS, units)->plain);
}

static void pairs_of_many(FILE *to, const nr_compare *c, nr_units units)
{
    fputc('\n', to);
    nr_quantity_heading_as(to, "95 %, all pairs");
    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++) {
        if (blocks[i].by == NR_COMPARED)
            continue;
        fprintf(to, "\n  %s\n", blocks[i].title);
        for (size_t k = 0; k < c->differences; k++)
            difference_row(to, c, &c->difference[k], &blocks[i], units);
    }
    how_sure(to, c, units);
}

static void two_builds(FILE *to, const nr_compare *c, nr_units units)
{
    nr_quantity_heading(to);
    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++)
        block_rows(to, c, &blocks[i], units);
    fputc('\n', to);
}

void nr_show_compare(FILE *to, const nr_compare *c, bool pairs, nr_units units)
{
    char text[NR_TELL];
    bool many = c->builds > 2;
    nr_trust_lines(to, &c->trust, units);
    nr_tell_compare_verdict(text, sizeof text, c, units);
    nr_paragraph(to, "", text);
    fputc('\n', to);
    if (many)
        ranking(to, c, units);
    else
        two_builds(to, c, units);
    nr_tell_compare_basis(text, sizeof text, c);
    nr_paragraph(to, "", text);
    nr_tell_compare_day(text, sizeof text, &c->day, units);
    nr_paragraph(to, "", text);
    if (!many)
        how_sure(to, c, units);
    else if (pairs)
        pairs_of_many(to, c, units);
    else
        fputs("The differences of all pairs: --pairs.\n", to);
    nr_warning_lines(to, "Mind", &c->warnings, units, NR_WARN_COUNT);
}
