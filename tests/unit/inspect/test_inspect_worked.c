/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What inspect says of a record in all: sums of its channels, what it is good for, the order of its
 * findings and the verdict, by the words of inspect.h, on simulated records that are spoiled at
 * random and of which quality is made to say more or less good. */
#include "analyze/quality/steady.h"
#include "tests/unit/inspect/looks.h"

static unsigned long long state = 7740;

static double from_to(double low, double high)
{
    return low + (high - low) * chance(&state);
}

static bool once_in(int n)
{
    return chance(&state) * n < 1;
}

static double about(double value)
{
    return value * (once_in(2) ? 0.98 : 1.02);
}

/* ---- a record ---- */

static nr_virtual_run *spoiled(void)
{
    nr_virtual_params p = day_params(once_in(2) ? CLEAR : CLOUDY, 3 + (unsigned)once_in(2));
    p.interval_s = 10;
    p.duration_s = 2700;
    nr_virtual_run *run = simulate(&p);
    size_t rows = run->run.readings->rows;
    for (size_t c = 0; c < run->run.readings->columns; c++) {
        double *v = run->run.readings->column[c].value;
        size_t from = (size_t)from_to(1, 150), to = from + (size_t)from_to(5, 100);
        if (once_in(6))
            hold(v, from, to);
        if (once_in(6))
            no_value(v, from, to);
        if (once_in(6))
            v[from + 40] += 40;
        if (once_in(12))
            no_value(v, 0, rows);
        for (size_t i = 0; once_in(15) && i < rows; i++)
            v[i] = v[i] * 1.8 + 32;
    }
    if (once_in(6)) {
        double *sun = column(run, "sun");
        for (size_t i = 0; i < rows; i++)
            sun[i] *= 0.01;
    }
    if (once_in(5))
        cut_rows(run, 100, 120);
    return run;
}

/* Quality says another thing than it saw: more or less that is good, gaps and stops as drawn. */
static void say_otherwise(nr_quality *q)
{
    size_t n = once_in(3) ? NR_QUALITY_EVENTS + 5 : (size_t)from_to(0, 5);
    q->gaps = n;
    q->pump_stops = once_in(3) ? NR_QUALITY_EVENTS : n / 2;
    for (size_t i = 0; i < NR_QUALITY_EVENTS; i++) {
        q->gap[i] = (nr_quality_event){from_to(0, 2000), from_to(1, 9)};
        q->pump_stop[i] = (nr_quality_event){from_to(0, 2000), from_to(1, 99)};
    }
    if (once_in(3))
        q->pump_on_s = about(300);
    if (once_in(4))
        q->duration_s = about(300);
    for (int role = 0; role < NR_ROLES; role++)
        if (once_in(6))
            q->channel[role].good = (size_t)about((double)q->rows / 2);
}

/* ---- the same again ---- */

static void sums_are(const nr_virtual_run *run, const nr_quality *q, const nr_inspect *x)
{
    const nr_readings *r = run->run.readings;
    ck_assert_uint_eq(x->channels, r->columns);
    for (size_t k = 0; k < r->columns; k++) {
        const nr_channel_summary *s = &x->channel[k];
        const nr_quality_channel *judged = NULL;
        for (int role = 0; role < NR_ROLES; role++)
            if (!strcmp(nr_role_name((nr_role)role), r->column[k].channel))
                judged = &q->channel[role];
        double sum = 0, low = INFINITY, high = -INFINITY, stuck = 0;
        size_t n = 0;
        for (size_t i = 0; i < r->rows; i++) {
            double v = r->column[k].value[i];
            int bad = judged ? judged->bad[i] : 0;
            stuck += bad == NR_BAD_STUCK && i ? r->elapsed_s[i] - r->elapsed_s[i - 1] : 0;
            if (isnan(v) || bad)
                continue;
            sum += v;
            low = fmin(low, v);
            high = fmax(high, v);
            n++;
        }
        ck_assert_str_eq(s->name, r->column[k].channel);
        ck_assert_str_eq(s->unit, r->column[k].known->name);
        ck_assert_uint_eq(s->valid, n);
        if (n) {
            NEAR(s->min, low, 0);
            NEAR(s->max, high, 0);
            NEAR_RELATIVE(s->mean, sum / (double)n, 1e-12);
        } else {
            ck_assert(isnan(s->min) && isnan(s->max) && isnan(s->mean));
        }
        NEAR(s->stuck_s, stuck, 1e-9);
        ck_assert_uint_eq(s->spikes, judged ? judged->count[NR_BAD_SPIKE] : 0);
        if (judged && !isnan(judged->noise))
            NEAR(s->noise, judged->noise, 0);
        else
            ck_assert(isnan(s->noise));
    }
}

static void lists_are(const nr_virtual_run *run, const nr_quality *q, const nr_inspect *x)
{
    ck_assert_str_eq(x->folder, run->run.folder);
    ck_assert_str_eq(x->title, run->run.rig.title);
    ck_assert(x->rows == q->rows && x->duration_s == q->duration_s);
    ck_assert(x->interval_s == q->interval_s && x->start_utc_s == run->run.readings->utc_s[0]);
    ck_assert_uint_eq(x->gaps, q->gaps < 64 ? q->gaps : 64);
    ck_assert_uint_eq(x->stops, q->pump_stops < 64 ? q->pump_stops : 64);
    for (size_t i = 0; i < x->gaps; i++)
        ck_assert(x->gap[i].start_s == q->gap[i].at_s && x->gap[i].length_s == q->gap[i].length_s);
    for (size_t i = 0; i < x->stops; i++)
        ck_assert(x->stop[i].start_s == q->pump_stop[i].at_s &&
                  x->stop[i].length_s == q->pump_stop[i].length_s);
    static const nr_steady_limits *const limits[] = {&nr_steady_iso9806, &nr_steady_field};
    size_t windows[2];
    nr_err err;
    ck_assert_int_eq(nr_steady_count(&run->run, q, limits, 2, windows, &err), NR_OK);
    ck_assert_uint_eq(x->steady_windows, windows[0] > windows[1] ? windows[0] : windows[1]);
}

/* Half of its rows good, and in the unit that it says. */
static bool serves(const nr_quality *q, const nr_inspect *x, nr_role role)
{
    for (size_t i = 0; i < x->findings; i++)
        if (!strcmp(nr_finding_name(x->finding[i].code), "wrong-unit") &&
            !strcmp(x->finding[i].channel, nr_role_name(role)))
            return false;
    return 2 * q->channel[role].good >= q->rows;
}

static bool is_found(const nr_inspect *x, nr_finding_code code)
{
    for (size_t i = 0; i < x->findings; i++)
        if (x->finding[i].code == code)
            return true;
    return false;
}

static void uses_are(const nr_quality *q, const nr_inspect *x)
{
    bool both = serves(q, x, NR_ROLE_AIR) && serves(q, x, NR_ROLE_SUN) &&
                !is_found(x, NR_FIND_NO_SUN) && q->duration_s >= 300;
    bool loop = serves(q, x, NR_ROLE_INLET) && serves(q, x, NR_ROLE_OUTLET) &&
                serves(q, x, NR_ROLE_FLOW) && !is_found(x, NR_FIND_SWAPPED_PROBES) &&
                !is_found(x, NR_FIND_PROBES_DISAGREE) && q->pump_on_s >= 300;
    ck_assert_int_eq(x->usable_for_store, both && serves(q, x, NR_ROLE_STORE));
    ck_assert_int_eq(x->usable_for_loop, both && loop);
}

static double begins(const nr_finding *f)
{
    return isnan(f->from_s) ? -1 : f->from_s;
}

/* The worst first, then by time (of all the record: before), name and channel. */
static void order_is(const nr_inspect *x)
{
    for (size_t i = 1; i < x->findings; i++) {
        const nr_finding *a = &x->finding[i - 1], *b = &x->finding[i];
        int by = (int)b->severity - (int)a->severity;
        if (by == 0)
            by = (begins(a) > begins(b)) - (begins(a) < begins(b));
        if (by == 0)
            by = strcmp(nr_finding_name(a->code), nr_finding_name(b->code));
        if (by == 0)
            by = strcmp(a->channel, b->channel);
        ck_assert_msg(by <= 0, "%s before %s", nr_finding_name(a->code), nr_finding_name(b->code));
    }
}

static nr_record_verdict verdict_of(const nr_inspect *x)
{
    bool use = x->usable_for_store || x->usable_for_loop;
    size_t doubts = 0, faults = 0;
    for (size_t i = 0; i < x->findings; i++) {
        doubts += x->finding[i].severity != NR_SEVERITY_NOTE;
        faults += x->finding[i].severity == NR_SEVERITY_FAULT;
    }
    ck_assert_uint_eq(x->doubts, doubts);
    if (!doubts)
        return use ? NR_RECORD_GOOD : NR_RECORD_LACKING;
    if (doubts == 1 && x->finding[0].code == NR_FIND_NO_SUN)
        return NR_RECORD_DARK;
    return !use ? NR_RECORD_UNFIT : faults ? NR_RECORD_FAULTY : NR_RECORD_DOUBTFUL;
}

START_TEST(records_in_all)
{
    size_t of[6] = {0}, store = 0, loop = 0;
    for (int n = 0; n < 60; n++) {
        nr_virtual_run *run = spoiled();
        nr_quality *q = check(run);
        nr_inspect *x = NULL;
        nr_err err;
        if (!once_in(3))
            say_otherwise(q);
        ck_assert_int_eq(nr_inspect_judged(&run->run, q, &x, &err), NR_OK);
        sums_are(run, q, x);
        lists_are(run, q, x);
        uses_are(q, x);
        order_is(x);
        ck_assert_int_eq(x->verdict, verdict_of(x));
        of[x->verdict]++;
        store += x->usable_for_store;
        loop += x->usable_for_loop;
        nr_inspect_free(x);
        nr_quality_free(q);
        nr_virtual_run_free(run);
    }
    ck_assert(store > 5 && loop > 5 && store < 55 && loop < 55);
    ck_assert(of[NR_RECORD_UNFIT] && of[NR_RECORD_FAULTY] && of[NR_RECORD_DOUBTFUL]);
}
END_TEST

/* Nothing is wrong with it; at night; and with nothing that a fit could use. */
START_TEST(verdicts_without_doubts)
{
    nr_virtual_run *run = clean_record(CLEAR, 3);
    nr_judged judged;
    nr_err err;
    ck_assert_int_eq(nr_judge_run(&run->run, &judged, &err), NR_OK);
    ck_assert_int_eq(judged.inspect->verdict, NR_RECORD_GOOD);
    sums_are(run, judged.quality, judged.inspect);
    lists_are(run, judged.quality, judged.inspect);
    uses_are(judged.quality, judged.inspect);
    ck_assert_uint_gt(judged.inspect->steady_windows, 0);
    nr_inspect *x = NULL;
    judged.quality->channel[NR_ROLE_AIR].good = judged.quality->rows / 3;
    ck_assert_int_eq(nr_inspect_judged(&run->run, judged.quality, &x, &err), NR_OK);
    ck_assert_int_eq(x->verdict, NR_RECORD_LACKING);
    nr_inspect_free(x);
    nr_judged_free(&judged);
    ck_assert(!judged.quality && !judged.inspect);
    nr_virtual_run_free(run);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {records_in_all, verdicts_without_doubts, NULL};
    return run_tests("inspect_worked", tests);
}
