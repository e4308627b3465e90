/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is it ever confidently wrong? Records with troubles, from a truth written apart, through the real
 * program; one table by kind.
 *
 *     adversity NOONFIT [--seeds N] [--first SEED] [--kind NAME]... [--class g|c|t] [--plain]
 *               [--codes] [--each] [--list] [--keep FOLDER] [--wind M_S] [--gusts SHARE,SECONDS]
 *     adversity NOONFIT --short
 *
 * A record is *wrong without doubt* where the program answers, grades it good, and the truth's own
 * steady-state efficiency lies outside the 95 % interval at any of three points: low, middle and
 * high end of the tested range. For intervals that are true the three are nearly one, and chance
 * makes 5 to 8 % of records wrong; the column "mid" counts the middle alone, where it makes 5 %.
 * Everything is drawn from kind and seed alone: the same on every machine and any number of cores.
 * --wind and --gusts set the mean wind of all records, and how far and how long gusts depart from
 * it.
 * --plain leaves out rig keys of the second edition. --short is for CI; see short_form(). */
#include "tests/adversity/ask.h"
#include "tests/adversity/kinds.h"
#include "tests/bench/spread/spread.h"

#include <getopt.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define CHOSEN 100

typedef struct outcome {
    bool recorded, answered, doubted, refused;
    bool inside[AD_POINTS], a1_known, a1_inside, loss_known, loss_inside;
    double error[AD_POINTS], half; /* half-width in the middle */
    double loss_off, loss_half;    /* of the container's loss, W/K: error, half-width */
    char codes[240], refusal[160];
} outcome;

typedef struct request {
    const char *program, *keep;
    const ad_kind *kind[CHOSEN];
    size_t kinds, seeds;
    unsigned long first;
    double wind_m_s, gust_share, gust_s; /* 0: as drawn */
    bool plain, codes, each;
} request;

/* ---- one record ---- */

static bool holds(ad_interval i, double truth)
{
    return truth >= i.lo95 && truth <= i.hi95;
}

static void judge(const ad_case *c, const ad_truth *truth, const ad_answer *a, outcome *o)
{
    double eta[AD_POINTS];
    for (int k = 0; k < AD_POINTS; k++) {
        eta[k] = ad_curve(&c->heater, &c->store, &truth->mean, a->x[k], a->mean, a->with_container);
        o->inside[k] = holds(a->eta[k], eta[k]);
        o->error[k] = a->eta[k].value - eta[k];
    }
    o->half = (a->eta[1].hi95 - a->eta[1].lo95) / 2;
    double span = a->x[AD_POINTS - 1] - a->x[0];
    o->a1_known = span > 0.002 && !isnan(a->a1.lo95);
    o->a1_inside = holds(a->a1, (eta[0] - eta[AD_POINTS - 1]) / span);
    o->loss_known = !isnan(a->store_loss.lo95) && c->store.opening_m2 <= 0;
    o->loss_inside = holds(a->store_loss, c->store.loss_W_K + c->store.hose_W_K);
    o->loss_off = a->store_loss.value - c->store.loss_W_K - c->store.hose_W_K;
    o->loss_half = (a->store_loss.hi95 - a->store_loss.lo95) / 2;
}

static void take_away(const char *folder)
{
    static const char *const names[] = {"rig.ini", "readings.csv", "notes.csv", "answer.json",
                                        "answer.err"};
    char path[400];
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        unlink(path);
    }
    rmdir(folder);
}

static void try_one(const request *q, const ad_kind *kind, unsigned long seed, outcome *o)
{
    char parent[] = "/tmp/adversity-XXXXXX", folder[300];
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    if (!rng || (!q->keep && !mkdtemp(parent)))
        return;
    snprintf(folder, sizeof folder, "%s/%s-%lu", q->keep ? q->keep : parent, kind->name, seed);
    gsl_rng_set(rng, ad_seed(kind, seed));
    ad_case c;
    ad_truth truth;
    ad_answer a;
    ad_draw(kind, rng, &c);
    if (q->wind_m_s > 0)
        c.day.wind_m_s = q->wind_m_s;
    if (q->gust_s > 0) {
        c.day.gust_share = q->gust_share;
        c.day.gust_s = q->gust_s;
    }
    o->recorded = ad_record(&c, rng, folder, q->plain, &truth);
    gsl_rng_free(rng);
    if (o->recorded) {
        ad_ask(q->program, folder, c.clear_sky, &a);
        o->answered = a.status == 0;
        o->refused = a.status == 1;
        o->doubted = o->answered && a.doubtful;
        memcpy(o->codes, a.codes, sizeof o->codes);
        memcpy(o->refusal, a.refusal, sizeof o->refusal);
        if (o->answered)
            judge(&c, &truth, &a, o);
    }
    if (!q->keep) {
        take_away(folder);
        rmdir(parent);
    }
}

static void trial(size_t index, const void *context, void *to)
{
    const request *q = context;
    gsl_set_error_handler_off();
    try_one(q, q->kind[index / q->seeds], q->first + index % q->seeds, to);
}

/* ---- sums and the table ---- */

typedef struct sums {
    size_t n, answered, doubted, refused, failed, wrong, wrong_middle, inside[AD_POINTS];
    size_t a1, a1_inside, loss, loss_inside;
    double bias, half;
} sums;

static void add(const outcome *o, sums *s)
{
    s->n++;
    s->refused += o->refused;
    s->failed += !o->answered && !o->refused;
    if (!o->answered)
        return;
    s->answered++;
    s->doubted += o->doubted;
    for (int k = 0; k < AD_POINTS; k++)
        s->inside[k] += o->inside[k];
    bool wrong = !(o->inside[0] && o->inside[1] && o->inside[2]);
    s->wrong += wrong && !o->doubted;
    s->wrong_middle += !o->inside[1] && !o->doubted;
    s->a1 += o->a1_known;
    s->a1_inside += o->a1_known && o->a1_inside;
    s->loss += o->loss_known;
    s->loss_inside += o->loss_known && o->loss_inside;
    s->bias += o->error[1];
    s->half += o->half;
}

static double share(size_t of, size_t n)
{
    return n ? (double)of / (double)n : NAN;
}

static void line(const char *name, const char *what, const sums *s)
{
    printf("%-15s %4zu  %.2f %.2f %.2f  %+.3f %.3f  %.2f %.2f  %.2f  %.2f  %.2f %.2f%s  %s\n", name,
           s->n, share(s->inside[0], s->answered), share(s->inside[1], s->answered),
           share(s->inside[2], s->answered), s->bias / (double)s->answered,
           s->half / (double)s->answered, share(s->a1_inside, s->a1),
           share(s->loss_inside, s->loss), share(s->doubted, s->n), share(s->refused, s->n),
           share(s->wrong, s->n), share(s->wrong_middle, s->n), s->failed ? " FAILED" : "", what);
}

static void head(void)
{
    printf("%-15s %4s  %-14s  %-12s  %-9s  %-4s  %-4s  %-9s\n", "kind", "N", "inside", "bias half",
           "a1, loss", "doubt", "held", "wrong mid");
}

static int by_text(const void *a, const void *b)
{
    return strcmp(a, b);
}

static void print_codes(const outcome *all, size_t n)
{
    char(*text)[240] = calloc(n ? n : 1, sizeof *text);
    for (size_t i = 0; text && i < n; i++)
        snprintf(text[i], sizeof *text, "%.200s%s", all[i].answered ? all[i].codes : all[i].refusal,
                 all[i].answered && all[i].codes[0] == '\0' ? "-" : "");
    if (text)
        qsort(text, n, sizeof *text, by_text);
    for (size_t i = 0, same = 1; text && i < n; i++, same++)
        if (i + 1 == n || strcmp(text[i], text[i + 1])) {
            printf("    %3zu  %s\n", same, text[i]);
            same = 0;
        }
    free(text);
}

/* Record by record: inside, errors and half-width, those of the container's loss in W/K. */
static void print_each(const request *q, const outcome *all)
{
    for (size_t i = 0; i < q->seeds; i++)
        printf("    %lu  %d%d%d  %+.3f %+.3f %+.3f  %.3f  loss %+.2f %.2f  %s\n", q->first + i,
               all[i].inside[0], all[i].inside[1], all[i].inside[2], all[i].error[0],
               all[i].error[1], all[i].error[2], all[i].half,
               all[i].loss_known ? all[i].loss_off : NAN,
               all[i].loss_known ? all[i].loss_half : NAN,
               all[i].answered ? all[i].codes : "withheld");
}

static void plus(const sums *s, sums *to)
{
    const size_t *from = &s->n;
    size_t *into = &to->n;
    for (size_t i = 0; i < offsetof(sums, bias) / sizeof(size_t); i++)
        into[i] += from[i];
    to->bias += s->bias;
    to->half += s->half;
}

static bool ask_all(const request *q, sums by_class[3], bool table)
{
    size_t n = q->kinds * q->seeds;
    outcome *all = calloc(n, sizeof *all);
    if (!all || !nr_spread(n, sizeof *all, trial, q, "adversity", all)) {
        free(all);
        return false;
    }
    if (table)
        head();
    for (size_t k = 0; k < q->kinds; k++) {
        sums s = {0};
        for (size_t i = 0; i < q->seeds; i++)
            add(&all[k * q->seeds + i], &s);
        plus(&s, &by_class[q->kind[k]->class]);
        if (table)
            line(q->kind[k]->name, q->kind[k]->what, &s);
        if (q->codes)
            print_codes(all + k * q->seeds, q->seeds);
        if (q->each)
            print_each(q, all + k * q->seeds);
    }
    free(all);
    return true;
}

static int full(const request *q)
{
    static const char *const names[3] = {"all good", "all containers", "all trouble"};
    sums by_class[3] = {{0}};
    printf("seeds %lu to %lu, %s%s\n", q->first, q->first + q->seeds - 1, q->program,
           q->plain ? ", plain rig files" : "");
    if (!ask_all(q, by_class, true))
        return 1;
    for (int c = 0; c < 3; c++)
        if (by_class[c].n)
            line(names[c], "", &by_class[c]);
    return 0;
}

/* ---- the short form ---- */

/* Limits that chance crosses once in a thousand runs of the test, were the shares what they are
 * meant to be: 92 % inside at the middle, 5 % of good records doubted, WRONG_ALLOWED of
 * troubles wrong without doubt. Seeds are fixed, so that a change of the result is a change of the
 * program. */
#define FALSE_ALARM 1e-3
/* The goal is 0.10. Here 10 of 82 were wrong on 27 November 2026 (11 before dew and drifts that
 * nobody stated widened, 13 before halves and the sky's course were looked at, 9 before the rig
 * files told of shade), by the first edition 45. */
#define WRONG_ALLOWED 0.15

static bool few_enough(const char *what, size_t count, size_t n, double at_most)
{
    unsigned limit = 0;
    while (gsl_cdf_binomial_Q(limit, at_most, (unsigned)n) > FALSE_ALARM)
        limit++;
    printf("%-45s %3zu of %3zu, at most %u\n", what, count, n, limit);
    return count <= limit;
}

static int short_form(request q)
{
    sums by_class[3] = {{0}};
    q.seeds = 2;
    q.first = 70001;
    if (!ask_all(&q, by_class, false))
        return 1;
    const sums *good = &by_class[AD_GOOD], *bad = &by_class[AD_TROUBLE];
    bool fine = few_enough("good: not answered", good->n - good->answered, good->n, 0.02);
    fine &= few_enough("good: middle outside", good->answered - good->inside[1], good->n, 0.08);
    fine &= few_enough("good: doubted", good->doubted, good->n, 0.05);
    fine &= few_enough("trouble: wrong without doubt", bad->wrong, bad->n, WRONG_ALLOWED);
    fine &= good->failed + by_class[AD_CONTAINER].failed + bad->failed == 0;
    printf("%s\n", fine ? "good" : "NOT GOOD");
    return fine ? 0 : 1;
}

/* ---- options ---- */

static void choose(request *q, const char *name, int class)
{
    for (size_t k = 0; k < ad_kind_count && q->kinds < CHOSEN; k++)
        if ((name && strcmp(name, ad_kinds[k].name) == 0) ||
            (!name && (class < 0 || class == (int)ad_kinds[k].class)))
            q->kind[q->kinds++] = &ad_kinds[k];
}

static int list(void)
{
    for (size_t k = 0; k < ad_kind_count; k++)
        printf("%-15s %c  %s\n", ad_kinds[k].name, "gct"[ad_kinds[k].class], ad_kinds[k].what);
    return 0;
}

int main(int argc, char **argv)
{
    static const struct option options[] = {{"seeds", required_argument, NULL, 'n'},
                                            {"first", required_argument, NULL, 'f'},
                                            {"kind", required_argument, NULL, 'k'},
                                            {"class", required_argument, NULL, 'c'},
                                            {"wind", required_argument, NULL, 'w'},
                                            {"gusts", required_argument, NULL, 'G'},
                                            {"keep", required_argument, NULL, 'K'},
                                            {"plain", no_argument, NULL, 'p'},
                                            {"codes", no_argument, NULL, 'C'},
                                            {"each", no_argument, NULL, 'E'},
                                            {"list", no_argument, NULL, 'l'},
                                            {"short", no_argument, NULL, 'S'},
                                            {NULL, 0, NULL, 0}};
    request q = {.seeds = 20, .first = 1};
    const char *classes = "gct", *which;
    bool brief = false;
    int o;
    while ((o = getopt_long(argc, argv, "", options, NULL)) != -1) {
        if (o == 'n')
            q.seeds = strtoul(optarg, NULL, 10);
        else if (o == 'f')
            q.first = strtoul(optarg, NULL, 10);
        else if (o == 'k')
            choose(&q, optarg, -1);
        else if (o == 'c' && (which = strchr(classes, optarg[0])) && *which)
            choose(&q, NULL, (int)(which - classes));
        else if (o == 'K')
            q.keep = optarg;
        else if (o == 'w')
            q.wind_m_s = strtod(optarg, NULL);
        else if (o == 'G' && sscanf(optarg, "%lf,%lf", &q.gust_share, &q.gust_s) == 2 &&
                 q.gust_s > 0)
            continue;
        else if (o == 'p')
            q.plain = true;
        else if (o == 'C')
            q.codes = true;
        else if (o == 'E')
            q.each = true;
        else if (o == 'l')
            return list();
        else if (o == 'S')
            brief = true;
        else
            return 2;
    }
    if (optind + 1 != argc || !q.seeds)
        return 2;
    q.program = argv[optind];
    if (!q.kinds)
        choose(&q, NULL, -1);
    return brief ? short_form(q) : full(&q);
}
