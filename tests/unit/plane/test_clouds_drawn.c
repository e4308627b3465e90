/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The mask of clouds against the same rules worked out a second time, on drawn days.
 *
 * The rules are those of clouds.h and the comments of its source; what is worked out here shares no
 * line with it: means by looking at each row for each mean, parabolas by elimination in Legendre's
 * polynomials, marks row by row. The days are drawn so that about as many signs lie on one side of
 * each limit as on the other. */
#include "analyze/plane/clouds.h"
#include "tests/unit/near.h"

enum { ROWS = 900, MEANS = 400, LOOP = 0, BOX, STORE, SUPPLY, KINDS };

typedef struct drawn {
    size_t rows;
    double t[ROWS], clear[ROWS], store[ROWS], inlet[ROWS], outlet[ROWS], box[ROWS], air[ROWS];
    double flow[ROWS], pump[ROWS];
    nr_cloud_signs in;
} drawn;

static unsigned long long state;

/* 0 to 1 (Knuth's MMIX generator, the upper bits). */
static double draw(void)
{
    state = state * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(state >> 11) / 9007199254740992.0;
}

static double from_to(double least, double most)
{
    return least + (most - least) * draw();
}

/* ---- the rules again ---- */

typedef struct again {
    size_t n;
    double length, begin, rows_a_mean;
    double clear[MEANS], flow[MEANS], y[KINDS][MEANS];
    bool dip[KINDS][MEANS];
} again;

static double cell(const double *column, size_t row)
{
    return column ? column[row] : NAN;
}

/* The mean of what is known of a quantity in mean k. */
static double mean_in(const nr_cloud_signs *in, const again *a, size_t k, int what)
{
    double sum = 0;
    int count = 0;
    for (size_t i = 0; i < in->rows; i++) {
        double since = in->elapsed_s[i] - a->begin, v = NAN;
        if (since < a->length * (double)k || since >= a->length * (double)(k + 1))
            continue;
        switch (what) {
        case LOOP:
            v = cell(in->outlet, i) - (in->inlet ? in->inlet[i] : cell(in->store, i));
            v *= in->flow ? in->flow[i] : 1;
            break;
        case BOX:
            v = cell(in->box, i) - cell(in->air, i);
            break;
        case STORE:
            v = cell(in->store, i);
            break;
        case SUPPLY:
            v = cell(in->pump, i);
            break;
        case KINDS:
            v = in->clear_W_m2[i];
            break;
        default:
            v = cell(in->flow, i);
            break;
        }
        if (!isnan(v)) {
            sum += v;
            count++;
        }
    }
    return count ? sum / count : NAN;
}

static double largest(const double *v, size_t n)
{
    double most = 0;
    for (size_t k = 0; k < n; k++)
        most = !isnan(v[k]) && v[k] > most ? v[k] : most;
    return most;
}

static double legendre(int order, double x)
{
    return order == 0 ? 1 : order == 1 ? x : 1.5 * x * x - 0.5;
}

/* Weighted least squares, by elimination with pivots; at[k]: the parabola where x[k] is. */
static void smooth(const double *x, const double *y, const double *w, size_t n, double *at)
{
    double m[3][4] = {{0}};
    for (size_t k = 0; k < n; k++)
        for (int i = 0; i < 3; i++) {
            for (int j = 0; j < 3; j++)
                m[i][j] += w[k] * legendre(i, x[k]) * legendre(j, x[k]);
            m[i][3] += w[k] * legendre(i, x[k]) * y[k];
        }
    for (int i = 0; i < 3; i++) {
        int best = i;
        for (int r = i + 1; r < 3; r++)
            best = fabs(m[r][i]) > fabs(m[best][i]) ? r : best;
        for (int j = 0; j < 4; j++) {
            double other = m[i][j];
            m[i][j] = m[best][j];
            m[best][j] = other;
        }
        for (int r = 0; r < 3; r++)
            for (int j = 3; r != i && j >= i; j--)
                m[r][j] -= m[r][i] / m[i][i] * m[i][j];
    }
    for (size_t k = 0; k < n; k++) {
        at[k] = 0;
        for (int i = 0; i < 3; i++)
            at[k] += m[i][3] / m[i][i] * legendre(i, x[k]);
    }
}

static void dips_of(again *a, int kind, double noise)
{
    static const double restless[KINDS] = {0.05, 0.05, 0.06, 0.03};
    static const double deep[KINDS] = {0.10, 0.12, 0.15, 0.08};
    double x[MEANS], y[MEANS], w[MEANS], plain[MEANS], edge[MEANS], squares = 0, sum = 0;
    size_t which[MEANS], m = 0;
    for (size_t k = 0; k < a->n; k++) {
        a->dip[kind][k] = false;
        if (!isnan(a->y[kind][k])) {
            which[m] = k;
            x[m] = -1 + 2.0 * (double)k / (double)(a->n - 1);
            y[m++] = a->y[kind][k];
        }
    }
    if (m < 8)
        return;
    for (size_t i = 0; i < m; i++)
        w[i] = 1;
    smooth(x, y, w, m, plain);
    for (size_t i = 0; i < m; i++) {
        squares += (y[i] - plain[i]) * (y[i] - plain[i]);
        sum += y[i];
    }
    if (!(sum > 0) || sqrt(squares / (double)m) * (double)m / sum <= restless[kind])
        return;
    for (int round = 0; round < 30; round++) {
        smooth(x, y, w, m, edge);
        for (size_t i = 0; i < m; i++)
            w[i] = y[i] > edge[i] ? 0.95 : 0.05;
    }
    for (size_t i = 0; i < m; i++)
        a->dip[kind][which[i]] = edge[i] > 0 && y[i] < (1 - deep[kind]) * edge[i] &&
                                 edge[i] - y[i] > 4 * noise &&
                                 y[i] < (1 - deep[kind] / 2) * plain[i];
}

/* A dip is one of two or more side by side. */
static bool in_dip(const again *a, int kind, size_t k)
{
    bool before = k > 0 && a->dip[kind][k - 1], after = k < a->n - 1 && a->dip[kind][k + 1];
    return a->dip[kind][k] && (before || after);
}

static void work_out(const nr_cloud_signs *in, bool *mask, nr_clouds *out)
{
    static again a;
    static double store[MEANS];
    double whole = in->elapsed_s[in->rows - 1] - in->elapsed_s[0];
    *out = (nr_clouds){.first_s = NAN};
    memset(mask, 0, in->rows * sizeof *mask);
    a.begin = in->elapsed_s[0];
    a.length = 2 * whole / (double)(in->rows - 1);
    a.length = a.length < 120 ? 120 : a.length;
    a.n = (size_t)(whole / a.length);
    if (in->rows < 8 || a.n < 8)
        return;
    for (size_t k = 0; k < a.n; k++) {
        a.clear[k] = mean_in(in, &a, k, KINDS);
        a.flow[k] = mean_in(in, &a, k, KINDS + 1);
        store[k] = mean_in(in, &a, k, STORE);
        for (int s = 0; s < KINDS; s++)
            a.y[s][k] = mean_in(in, &a, k, s);
    }
    double sun = largest(a.clear, a.n), fast = largest(a.flow, a.n);
    double high = largest(a.y[SUPPLY], a.n), low = high;
    for (size_t k = 0; k < a.n; k++)
        low = !isnan(a.y[SUPPLY][k]) ? fmin(low, a.y[SUPPLY][k]) : low;
    for (size_t k = 0; k < a.n; k++) {
        bool up = a.clear[k] > 0.35 * sun, late = a.length * (double)k >= 600;
        bool flows = !in->flow || a.flow[k] > 0.3 * fast;
        a.y[STORE][k] = k == 0 || k == a.n - 1 ? NAN : 0.5 * (store[k + 1] - store[k - 1]);
        for (int s = 0; s < KINDS; s++)
            if (!up || (s != SUPPLY && !late) || (s == LOOP && !flows) ||
                (s == SUPPLY && high - low <= 0.15 * high))
                a.y[s][k] = NAN;
            else if (s != SUPPLY)
                a.y[s][k] /= a.clear[k];
    }
    a.rows_a_mean = a.length / (whole / (double)(in->rows - 1));
    double dither = a.rows_a_mean / 4 > 1 ? a.rows_a_mean / 4 : 1;
    for (int s = 0; s < KINDS; s++)
        dips_of(&a, s, s == STORE ? in->store_step_K / sqrt(12 * dither * 2) / sun : 0);
    for (size_t k = 0; k < a.n; k++) {
        bool stood = false, seen = false;
        for (size_t i = 0; in->flow && i < a.n; i++)
            stood = stood || ((i == k || i + 1 == k || i == k + 1) && a.flow[i] < 0.3 * fast);
        for (int s = 0; s < KINDS; s++)
            seen = seen || isfinite(a.y[s][k]);
        bool sure = in_dip(&a, BOX, k) || in_dip(&a, SUPPLY, k);
        bool either = in_dip(&a, STORE, k) || in_dip(&a, LOOP, k);
        sure = sure || (in->flow && !stood && in_dip(&a, LOOP, k));
        out->seen_s += seen ? a.length : 0;
        if (!seen || !(sure || (either && !stood)))
            continue;
        if (sure || in->flow)
            out->cloud_s += a.length;
        else
            out->unsure_s += a.length;
        double from = a.begin + a.length * (double)k, to = from + a.length;
        out->first_s = isnan(out->first_s) ? from : out->first_s;
        for (size_t i = 0; i < in->rows; i++)
            mask[i] = mask[i] || (in->elapsed_s[i] >= from - 120 && in->elapsed_s[i] <= to + 420);
    }
}

/* ---- days ---- */

/* One to three clouds of any depth, stops of the pump, coarse steps, gaps, and any set of channels;
 * every second with a sun that comes up or goes down. */
static void make(drawn *d)
{
    double every = draw() < 0.7 ? from_to(8, 40) : from_to(50, 110);
    double length = from_to(3000, 9000), at[3], lasts[3], taken[3], box = 40, store = 18;
    double scatter = draw() < 0.5 ? 0.002 : 0.02, low = draw() < 0.5 ? from_to(0, 0.9) : 0;
    double stops = draw() < 0.5 ? from_to(700, length) : INFINITY, panel = draw() < 0.5 ? 0.5 : 0.1;
    double gap = from_to(0, length), crawls = draw() < 0.5 ? 0 : from_to(0.1, 0.5);
    d->rows = (size_t)(length / every);
    d->rows = d->rows > ROWS ? ROWS : d->rows;
    for (int c = 0; c < 3; c++) {
        at[c] = from_to(0, length);
        lasts[c] = from_to(100, 700);
        taken[c] = draw() < 0.3 ? 0 : from_to(0.05, 0.7);
    }
    double step = draw() < 0.4 ? from_to(0.05, 0.5) : 0;
    for (size_t i = 0; i < d->rows; i++) {
        /* Not on the edge of a mean, where rounding would decide. */
        double t = every * ((double)i + 0.3 * draw()), sun = 950 * (1 - low * t / length),
               real = sun;
        for (int c = 0; c < 3; c++)
            real = t >= at[c] && t < at[c] + lasts[c] ? fmin(real, sun * (1 - taken[c])) : real;
        bool stands = t >= stops && t < stops + 500;
        double flow = stands ? 1.2 * crawls : 1.2;
        box += (20 + real * (stands ? 0.045 : 0.03) - box) * fmin(every / 150, 1);
        store += real * (stands ? crawls : 1) * 4.7e-6 * every;
        d->t[i] = 1000 + t;
        d->clear[i] = sun;
        d->air[i] = 20 + 0.2 * draw();
        d->box[i] = box * (1 + scatter * (draw() - 0.5));
        d->store[i] = step > 0 ? round(store / step) * step : store;
        d->inlet[i] = store + 0.1 * draw();
        d->outlet[i] = store + real * 0.006 * (1 + 10 * scatter * (draw() - 0.5));
        d->flow[i] = flow * (1 + scatter * (draw() - 0.5));
        d->pump[i] = 16 * (1 - panel + panel * real / 950) * (1 + scatter * (draw() - 0.5));
        if (t >= gap && t < gap + 300)
            d->box[i] = d->outlet[i] = d->store[i] = NAN;
    }
    d->in = (nr_cloud_signs){.rows = d->rows,
                             .elapsed_s = d->t,
                             .clear_W_m2 = d->clear,
                             .air = d->air,
                             .store_step_K = step};
    d->in.store = draw() < 0.8 ? d->store : NULL;
    d->in.inlet = draw() < 0.5 ? d->inlet : NULL;
    d->in.outlet = draw() < 0.6 ? d->outlet : NULL;
    d->in.box = draw() < 0.4 ? d->box : NULL;
    d->in.flow = draw() < 0.5 ? d->flow : NULL;
    d->in.pump = draw() < 0.3 ? d->pump : NULL;
}

START_TEST(the_rules_worked_out_again)
{
    static drawn d;
    static bool mask[ROWS], expected[ROWS];
    int clouds = 0, unsure = 0, clear = 0;
    for (int day = 1; day <= 400; day++) {
        nr_clouds got, want;
        state = (unsigned long long)day;
        make(&d);
        work_out(&d.in, expected, &want);
        ck_assert(nr_cloud_mask(&d.in, mask, &got));
        ck_assert_msg(fabs(got.seen_s - want.seen_s) < 1e-6 &&
                          fabs(got.cloud_s - want.cloud_s) < 1e-6 &&
                          fabs(got.unsure_s - want.unsure_s) < 1e-6,
                      "day %d: seen %g, clouds %g, unsure %g; expected %g, %g, %g", day, got.seen_s,
                      got.cloud_s, got.unsure_s, want.seen_s, want.cloud_s, want.unsure_s);
        ck_assert_msg(isnan(want.first_s) ? isnan(got.first_s)
                                          : fabs(got.first_s - want.first_s) < 1e-6,
                      "day %d: first %g, expected %g", day, got.first_s, want.first_s);
        for (size_t i = 0; i < d.rows; i++)
            ck_assert_msg(mask[i] == expected[i], "day %d, row %zu", day, i);
        clouds += want.cloud_s > 0;
        unsure += want.unsure_s > 0;
        clear += want.seen_s > 0 && isnan(want.first_s);
    }
    /* All kinds of answers were among them. */
    ck_assert_msg(clouds > 40 && unsure > 40 && clear > 40, "%d %d %d", clouds, unsure, clear);
}
END_TEST

/* Eight means and eight rows are enough, seven are not. */
START_TEST(the_least_that_tells)
{
    static drawn d;
    static bool mask[ROWS];
    for (int k = 0; k < 2; k++) {
        nr_clouds got;
        double last = k ? 961 : 959; /* eight means of 120 s or not quite */
        for (int i = 0; i < 100; i++) {
            d.t[i] = last / 99 * i;
            d.clear[i] = 900;
            d.box[i] = 50;
            d.air[i] = 20;
        }
        nr_cloud_signs in = {
            .rows = 100, .elapsed_s = d.t, .clear_W_m2 = d.clear, .box = d.box, .air = d.air};
        ck_assert(nr_cloud_mask(&in, mask, &got));
        NEAR(got.seen_s, k ? 3 * 120 : 0, 1e-9); /* the first ten minutes settle */
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_rules_worked_out_again, the_least_that_tells, NULL};
    return run_tests("clouds, drawn", tests);
}
