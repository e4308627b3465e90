/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What inspect says of heat and probes, worked out a second time on drawn records: the balances by
 * the equations of their uncertainties (JCGM 100:2008, 5.1) and by means of one row after another;
 * what is found, by the rules as analyze/inspect says them (their limits: common practice, no
 * source). Water's properties are the same functions', which their own tests hold against tables.
 */
#include "analyze/physics/water.h"
#include "tests/unit/inspect/drawn.h"

/* ---- records ---- */

/* A heat-up with everything at work: holes, marks, a pump that stops, a flow that varies. */
static desk *a_heat_up(void)
{
    static const double every[] = {3.6, 5, 20};
    desk *d = sound();
    rows_every(d, every[(int)from_to(0, 3)]);
    double rise = chance(0.8) ? from_to(1, 25) : from_to(1.8, 2.2), loop = from_to(0.3, 6);
    double off = from_to(200, 800), phase = from_to(0, 6);
    for (size_t i = 0; i < ROWS; i++) {
        double x = (double)i / LAST, swing = sin(12 * x + phase);
        d->pump[i] = (double)i > off && (double)i < off + 90 ? NR_PUMP_IS_OFF : NR_PUMP_IS_ON;
        d->value[NR_ROLE_STORE][i] = 17 + rise * (x + 0.1 * sin(7 * x));
        d->value[NR_ROLE_INLET][i] = 16.5 + rise * x + 0.3 * swing;
        d->value[NR_ROLE_OUTLET][i] = 16.5 + rise * x + loop * (1 + 0.3 * swing);
        d->value[NR_ROLE_AIR][i] = 15 + 6 * x + swing;
        d->value[NR_ROLE_SUN][i] = 500 + 250 * swing;
        d->value[NR_ROLE_FLOW][i] = 1.6 + 0.4 * cos(9 * x + phase);
    }
    for (int role = 0; role < NR_ROLES; role++)
        if (d->q.channel[role].value)
            spoil(d, (nr_role)role, 0.1);
    if (chance(0.5))
        hole(d, NR_ROLE_STORE, (size_t)from_to(0, 900), (size_t)from_to(20, 700));
    if (chance(0.5))
        hole(d, NR_ROLE_SUN, (size_t)from_to(0, 900), (size_t)from_to(20, 500));
    if (chance(0.3))
        hole(d, NR_ROLE_FLOW, (size_t)from_to(0, 900), (size_t)from_to(20, 500));
    if (chance(0.2)) /* a meter in the dark of the night */
        for (size_t i = 0; i < ROWS; i++)
            d->value[NR_ROLE_SUN][i] = 0;
    d->q.channel[NR_ROLE_FLOW].step = chance(0.5) ? 0.1 : NAN;
    d->q.pump_typical = chance(0.8) ? 1.7 : NAN;
    nr_rig *rig = &d->run.rig;
    rig->store.water_kg = surely(from_to(20, 60), 0.3);
    rig->store.dry_heat_capacity_J_K = perhaps(from_to(1000, 9000), 400);
    rig->store.loss_W_K = perhaps(from_to(0.5, 5), 0.4);
    rig->store.lid = (nr_lid)(int)from_to(0, 3);
    rig->collector.gross_area_m2 = surely(from_to(0.5, 2.5), 0.02);
    state_of(d, "inlet", 0.07, NAN);
    state_of(d, "outlet", 0.11, NAN);
    state_of(d, "store", 0.09, NAN);
    state_of(d, "flow", NAN, 0.02);
    state_of(d, "sun", NAN, 0.03);
    return d;
}

/* ---- the balances ---- */

static double loop_power(const desk *d, size_t i)
{
    double flow = good(d, NR_ROLE_FLOW, i), in = good(d, NR_ROLE_INLET, i),
           out = good(d, NR_ROLE_OUTLET, i);
    if (d->pump[i] == NR_PUMP_IS_OFF)
        return 0;
    return nr_water_density_kg_m3(in) * flow / (1000 * 60) * nr_water_cp_J_kgK((in + out) / 2) *
           (out - in);
}

static double length_of(const desk *d)
{
    return d->q.interval_s * 5 > 60 ? d->q.interval_s * 5 : 60;
}

/* Of rows of the k-th block; what < 0: the loop's power. */
static double mean_in(const desk *d, int what, size_t k)
{
    double sum = 0, n = 0, length = length_of(d);
    for (size_t i = 0; i < ROWS; i++) {
        if (floor(d->elapsed_s[i] / length) != (double)k)
            continue;
        double v = what < 0 ? loop_power(d, i) : good(d, (nr_role)what, i);
        sum += isnan(v) ? 0 : v;
        n += !isnan(v);
    }
    return n < 0.4 * length / d->q.interval_s ? NAN : sum / n;
}

/* Flow, and flow times rise, of a block's rows that tell both. */
static void flows_in(const desk *d, size_t k, double *flow, double *by_rise)
{
    *flow = *by_rise = 0;
    for (size_t i = 0; i < ROWS; i++) {
        double f = good(d, NR_ROLE_FLOW, i),
               rise = good(d, NR_ROLE_OUTLET, i) - good(d, NR_ROLE_INLET, i);
        if (floor(d->elapsed_s[i] / length_of(d)) != (double)k || d->pump[i] == NR_PUMP_IS_OFF ||
            isnan(f) || isnan(rise))
            continue;
        *flow += f;
        *by_rise += f * rise;
    }
}

/* From middle to middle of blocks that know what is needed. */
typedef struct taken {
    double rise, store, excess, power, sun, seconds, flow, by_rise, pairs, stretches;
} taken;

static taken take(const desk *d, const int *needed, int count)
{
    taken t = {0};
    double length = length_of(d);
    size_t blocks = (size_t)floor(d->elapsed_s[LAST] / length);
    bool was = false;
    static double mean[4][ROWS];
    static const int what[4] = {NR_ROLE_STORE, NR_ROLE_AIR, NR_ROLE_SUN, -1};
    for (int m = 0; m < 4; m++)
        for (size_t k = 0; k < blocks; k++)
            mean[m][k] = mean_in(d, what[m], k);
    for (size_t k = 1; k < blocks; k++) {
        bool is = true;
        for (int n = 0; n < count; n++)
            is = is && !isnan(mean[needed[n]][k - 1]) && !isnan(mean[needed[n]][k]);
        if (is) {
            double flow, by_rise;
            flows_in(d, k, &flow, &by_rise); /* the later one stands for both */
            t.rise += mean[0][k] - mean[0][k - 1];
            t.store += (mean[0][k] + mean[0][k - 1]) / 2;
            t.excess +=
                length * ((mean[0][k] + mean[0][k - 1]) / 2 - (mean[1][k] + mean[1][k - 1]) / 2);
            t.sun += length * (mean[2][k] + mean[2][k - 1]) / 2;
            t.power += length * (mean[3][k] + mean[3][k - 1]) / 2;
            t.seconds += length;
            t.flow += flow;
            t.by_rise += by_rise;
            t.pairs++;
            t.stretches += was ? 0 : 1;
        }
        was = is;
    }
    return t;
}

static double known_u(nr_value v, double otherwise)
{
    return v.u_given ? v.u : otherwise * v.value;
}

static double squares(const double *v, int n)
{
    double sum = 0;
    for (int i = 0; i < n; i++)
        sum += v[i] * v[i];
    return sqrt(sum);
}

/* Heat found in the container and lost by it. Unstated: a loss of 2.5 W/K, without a lid 4, give or
 * take 0.8 of it; nothing dry, give or take 2 % of the water's heat; water to 1 %. */
static double found_heat(const desk *d, const taken *t, double *u)
{
    const nr_rig_store *s = &d->run.rig.store;
    double cp = nr_water_cp_J_kgK(t->store / t->pairs), water = cp * s->water_kg.value;
    double dry = s->dry_heat_capacity_J_K.given ? s->dry_heat_capacity_J_K.value : 0;
    double loss = s->loss_W_K.given ? s->loss_W_K.value : s->lid == NR_LID_NO ? 4 : 2.5;
    double parts[] = {
        known_u(s->water_kg, 0.01) * cp * t->rise,
        (s->dry_heat_capacity_J_K.given ? known_u(s->dry_heat_capacity_J_K, 0.2) : 0.02 * water) *
            t->rise,
        (s->loss_W_K.given ? known_u(s->loss_W_K, 0.2) : 0.8 * loss) * t->excess,
        0.2 * (water + dry) * sqrt(t->stretches), 2 * t->seconds};
    *u = squares(parts, 5);
    return (water + dry) * t->rise + loss * t->excess;
}

static double u_offset(const desk *d, const char *name)
{
    const nr_rig_channel *c = stated(d, name);
    return c && !isnan(c->u_offset) ? c->u_offset : 0.2;
}

static double u_gain(const desk *d, const char *name)
{
    const nr_rig_channel *c = stated(d, name);
    return c && !isnan(c->u_gain) ? c->u_gain : 0.05;
}

static double u_of_loop(const desk *d, double rise)
{
    double step = d->q.channel[NR_ROLE_FLOW].step, typical = d->q.pump_typical;
    double parts[] = {u_offset(d, "inlet") / rise, u_offset(d, "outlet") / rise, u_gain(d, "flow"),
                      isnan(step) || isnan(typical) ? 0 : step / typical / sqrt(12)};
    return squares(parts, 4);
}

static double u_of_sun(const desk *d)
{
    nr_value area = d->run.rig.collector.gross_area_m2;
    double parts[] = {u_gain(d, "sun"), known_u(area, 0.01) / area.value};
    return squares(parts, 2);
}

static nr_heat balances(const desk *d)
{
    static const int loop[] = {0, 1, 3}, store[] = {0, 1, 2}, sun[] = {2, 3};
    nr_heat h = {0};
    double u, least = 0.4 * d->elapsed_s[LAST], area = d->run.rig.collector.gross_area_m2.value;
    taken t = take(d, loop, 3);
    double found = found_heat(d, &t, &u);
    if (t.seconds >= least && t.rise >= 2 && t.flow > 0) {
        double parts[] = {u_of_loop(d, t.by_rise / t.flow), u / found};
        h.loop_known = true;
        h.ratio = t.power / found;
        h.u_ratio = h.ratio * squares(parts, 2);
    }
    t = take(d, store, 3);
    found = found_heat(d, &t, &u);
    if (t.seconds >= least && t.rise >= 2 && t.sun > 0) {
        double parts[] = {u_of_sun(d), u / found};
        h.store_known = true;
        h.share = found / t.sun / area;
        h.u_share = h.share * squares(parts, 2);
        h.mean_excess_K = t.excess / t.seconds;
        h.mean_sun_W_m2 = t.sun / t.seconds;
    }
    t = take(d, sun, 2);
    if (t.seconds >= least && t.by_rise / t.flow > 0.5 && t.sun > 0) {
        double parts[] = {u_of_sun(d), u_of_loop(d, t.by_rise / t.flow)};
        h.loop_share_known = true;
        h.loop_share = t.power / t.sun / area;
        h.u_loop_share = h.loop_share * squares(parts, 2);
        if (!h.store_known)
            h.mean_sun_W_m2 = t.sun / t.seconds;
    }
    return h;
}

enum { HEAT_UPS = 60 };

/* Straight lines in place of water's polynomials: within 1e-4 of them. */
START_TEST(balances_in_full)
{
    int loops = 0, stores = 0, suns = 0;
    drawn_state = 11;
    for (int k = 0; k < HEAT_UPS; k++) {
        desk *d = a_heat_up();
        nr_heat due = balances(d), *is = &d->x.heat;
        nr_err err = {0};
        ck_assert_msg(nr_heat_balance(&d->x, &err) == NR_OK, "%s", err.text);
        ck_assert_msg(is->loop_known == due.loop_known && is->store_known == due.store_known &&
                          is->loop_share_known == due.loop_share_known,
                      "record %d: %d %d %d for %d %d %d", k, is->loop_known, is->store_known,
                      is->loop_share_known, due.loop_known, due.store_known, due.loop_share_known);
        NEAR(is->ratio, due.ratio, 2e-4 * due.ratio);
        NEAR(is->u_ratio, due.u_ratio, 2e-4 * due.u_ratio);
        NEAR(is->share, due.share, 1e-9);
        NEAR(is->u_share, due.u_share, 1e-9);
        NEAR(is->loop_share, due.loop_share, 2e-4 * due.loop_share);
        NEAR(is->u_loop_share, due.u_loop_share, 2e-4 * due.u_loop_share);
        NEAR(is->mean_excess_K, due.mean_excess_K, 1e-9);
        NEAR(is->mean_sun_W_m2, due.mean_sun_W_m2, 1e-6);
        loops += due.loop_known;
        stores += due.store_known;
        suns += due.loop_share_known;
        free(d);
    }
    ck_assert_msg(loops > 15 && loops < HEAT_UPS - 5 && stores > 10 && stores < HEAT_UPS - 5 &&
                      suns > 15 && suns < HEAT_UPS - 5,
                  "%d, %d and %d balances of %d", loops, stores, suns, HEAT_UPS);
}
END_TEST

/* ---- what is found ---- */

/* A loop whose probes may be wrong, in some weather; balances that may not close. */
static desk *a_loop(void)
{
    desk *d = sound();
    rows_every(d, 3.6);
    bool night = chance(0.5);
    double sun = night ? from_to(0, 130) : from_to(380, 900), flow = from_to(0.4, 4);
    double rise = night ? from_to(-20, 20) : from_to(-2.5, 4), over = from_to(-20, 40);
    double off = chance(0.5) ? from_to(-2, 2) : 0;
    double from = chance(0.1) ? 993 : from_to(0, 300); /* that late, it tells nothing */
    for (size_t i = 0; i < ROWS; i++) {
        double water = 20 + 0.01 * (double)i, wave = 0.2 * sin(0.05 * (double)i);
        d->pump[i] = (double)i < from || chance(0.01) ? NR_PUMP_IS_OFF : NR_PUMP_IS_ON;
        d->value[NR_ROLE_STORE][i] = water;
        d->value[NR_ROLE_INLET][i] = water + off + wave;
        d->value[NR_ROLE_OUTLET][i] = water + off + rise - wave;
        d->value[NR_ROLE_AIR][i] = water - over + 3 * wave;
        d->value[NR_ROLE_SUN][i] = sun + 20 * wave;
        d->value[NR_ROLE_FLOW][i] = flow + wave;
    }
    for (int role = 0; role < NR_ROLES; role++)
        if (d->q.channel[role].value)
            spoil(d, (nr_role)role, 0.02);
    if (chance(0.3))
        hole(d, NR_ROLE_FLOW, 0, ROWS);
    if (chance(0.1))
        hole(d, NR_ROLE_OUTLET, 0, ROWS);
    if (chance(0.2)) {
        d->q.pump_source = NR_PUMP_FROM_NOTHING;
        for (size_t i = 0; i < ROWS; i++)
            d->pump[i] = NR_PUMP_IS_UNKNOWN;
    }
    state_of(d, "inlet", 0.05, NAN);
    state_of(d, "outlet", 0.1, NAN);
    state_of(d, "store", 0.2, NAN);
    d->run.rig.collector.gross_area_m2 = surely(from_to(0.5, 3), 0.02);
    for (int role = 0; role < NR_ROLES; role++)
        d->x.unit_wrong[role] = chance(0.03);
    d->x.dark = night && chance(0.7);
    d->q.flow_dead = chance(0.1);
    d->x.heat = (nr_heat){.loop_known = chance(0.8),
                          .ratio = from_to(0.7, 1.3),
                          .u_ratio = from_to(0.01, 0.1),
                          .store_known = chance(0.5),
                          .share = from_to(0.7, 2),
                          .u_share = from_to(0.01, 0.1),
                          .loop_share_known = chance(0.8),
                          .loop_share = from_to(0.7, 2),
                          .u_loop_share = from_to(0.01, 0.1),
                          .mean_excess_K = from_to(-15, 15),
                          .mean_sun_W_m2 = from_to(200, 900)};
    return d;
}

/* Median of one less another (NR_ROLES: of it alone) where the pump is so; ten at least. */
static double median(const desk *d, nr_role role, nr_role less, double from, double to)
{
    static double v[ROWS];
    size_t n = 0;
    bool any = d->q.pump_source == NR_PUMP_FROM_NOTHING;
    for (size_t i = 0; i < ROWS; i++) {
        double x = good(d, role, i) - (less < NR_ROLES ? good(d, less, i) : 0);
        if (d->elapsed_s[i] >= from && d->elapsed_s[i] <= to && !isnan(x) &&
            (any || d->pump[i] == NR_PUMP_IS_ON))
            v[n++] = x;
    }
    qsort(v, n, sizeof *v, by_size);
    return n < 10 ? NAN : (v[(n - 1) / 2] + v[n / 2]) / 2;
}

/* In the dark a plate loses at most 25 W/(m2 K) to the air and 100 W/m2 to the sky, to water that
 * flows at 69.5 W/K a litre a minute, or at 35 W/K where nobody measured (who runs is then not
 * known either, so flow and air are those of rows in which it runs). */
static double dark_drop(const desk *d, double from, double to)
{
    bool any = d->q.pump_source == NR_PUMP_FROM_NOTHING;
    double flow = any ? NAN : median(d, NR_ROLE_FLOW, NR_ROLES, from, to);
    double over = any ? NAN : median(d, NR_ROLE_INLET, NR_ROLE_AIR, from, to);
    double lost = 100 + 25 * (isnan(over) ? 0 : fabs(over));
    return d->run.rig.collector.gross_area_m2.value * lost / (isnan(flow) ? 35 : 69.5 * flow);
}

static bool look_for_the_other_way_round(const desk *d, expected *e)
{
    double sum = 0, n = 0;
    const bool *wrong = d->x.unit_wrong;
    for (size_t i = 0; i < ROWS; i++) {
        double in = good(d, NR_ROLE_INLET, i), rise = good(d, NR_ROLE_OUTLET, i) - in;
        double sun = good(d, NR_ROLE_SUN, i), over = in - good(d, NR_ROLE_AIR, i);
        if (d->pump[i] != NR_PUMP_IS_OFF && sun > 400 && over < 0.02 * sun && !isnan(rise)) {
            sum += rise;
            n++;
        }
    }
    double u[] = {u_offset(d, "inlet"), u_offset(d, "outlet")}, by = fmax(0.3, 2 * squares(u, 2));
    if (wrong[NR_ROLE_INLET] || wrong[NR_ROLE_OUTLET] || wrong[NR_ROLE_AIR] || wrong[NR_ROLE_SUN] ||
        n * 3.6 < 120 || -sum / n <= by)
        return false;
    expect(e, NR_FIND_SWAPPED_PROBES, NR_SEVERITY_FAULT, "outlet", NAN, NAN, -sum / n, 0, 0);
    return true;
}

static bool look_for_probes_apart(const desk *d, expected *e)
{
    size_t first = 0;
    const bool *wrong = d->x.unit_wrong;
    bool any = d->q.pump_source == NR_PUMP_FROM_NOTHING, found = false;
    while (d->pump[first] == NR_PUMP_IS_OFF)
        first++;
    double from = d->elapsed_s[first] + 120, to = from + 600;
    double rise = median(d, NR_ROLE_OUTLET, NR_ROLE_INLET, from, to);
    double off = median(d, NR_ROLE_INLET, NR_ROLE_STORE, from, to);
    double in = u_offset(d, "inlet"), store = u_offset(d, "store"), out = u_offset(d, "outlet");
    double layers = 0.3 + 0.04 * (isnan(rise) ? 8 : rise > 0 ? rise : 0);
    double allowed = 3 * sqrt(in * in + store * store) + layers + (any ? 1 : 0);
    if (wrong[NR_ROLE_STORE] || wrong[NR_ROLE_INLET])
        return false;
    if (off > allowed || off < -allowed) {
        expect(e, NR_FIND_PROBES_DISAGREE, NR_SEVERITY_DOUBT, "inlet", from, to, off, allowed, 0);
        found = true;
    }
    double sun = median(d, NR_ROLE_SUN, NR_ROLES, from, to);
    if (wrong[NR_ROLE_SUN] || wrong[NR_ROLE_OUTLET] || isnan(sun) || sun >= 100)
        return found;
    allowed = 3 * sqrt(in * in + out * out) + layers + (d->x.dark ? dark_drop(d, from, to) : 0);
    if (!(rise > allowed || rise < -allowed))
        return found;
    expect(e, NR_FIND_PROBES_DISAGREE, NR_SEVERITY_DOUBT, "outlet", from, to, rise, allowed, 1);
    return true;
}

static void look_at_balances(const desk *d, bool probes, expected *e)
{
    const bool *wrong = d->x.unit_wrong;
    const nr_heat *h = &d->x.heat;
    bool units = wrong[NR_ROLE_STORE] || wrong[NR_ROLE_INLET] || wrong[NR_ROLE_OUTLET] ||
                 wrong[NR_ROLE_FLOW];
    double off = h->ratio > 1 ? h->ratio - 1 : 1 - h->ratio;
    bool closes = off < 0.08 || off < 2.58 * h->u_ratio;
    if (h->loop_known && !units && !probes && !d->q.flow_dead)
        expect(e, closes ? NR_FIND_HEAT_BALANCE_CLOSES : NR_FIND_HEAT_BALANCE_OPEN,
               closes ? NR_SEVERITY_NOTE : NR_SEVERITY_DOUBT, "", NAN, NAN, h->ratio, h->u_ratio,
               0);
    bool store = h->store_known && !wrong[NR_ROLE_STORE];
    bool loop = h->loop_share_known && !units && !probes;
    if (wrong[NR_ROLE_SUN] || (!store && !loop))
        return;
    double share = store ? h->share : h->loop_share, u = store ? h->u_share : h->u_loop_share;
    double of_air = h->mean_excess_K < 0 ? 25 * -h->mean_excess_K / h->mean_sun_W_m2 : 0;
    if (share - 2 * u >= 1 + of_air)
        expect(e, NR_FIND_TOO_MUCH_HEAT, NR_SEVERITY_FAULT, "", NAN, NAN, share, 0, 0);
}

START_TEST(findings_in_full)
{
    int of[NR_FIND_COUNT] = {0};
    drawn_state = 5;
    for (int k = 0; k < 400; k++) {
        desk *d = a_loop();
        expected e = {0};
        bool probes = look_for_the_other_way_round(d, &e);
        probes = probes || look_for_probes_apart(d, &e);
        look_at_balances(d, probes, &e);
        nr_inspect_heat(&d->x);
        same_findings(k, &d->out, &e);
        for (size_t i = 0; i < e.count; i++)
            of[e.one[i].code]++;
        free(d);
    }
    static const nr_finding_code codes[] = {NR_FIND_SWAPPED_PROBES, NR_FIND_PROBES_DISAGREE,
                                            NR_FIND_HEAT_BALANCE_CLOSES, NR_FIND_HEAT_BALANCE_OPEN,
                                            NR_FIND_TOO_MUCH_HEAT};
    for (size_t i = 0; i < sizeof codes / sizeof *codes; i++)
        ck_assert_msg(of[codes[i]] >= 20, "%s %d times", nr_finding_name(codes[i]), of[codes[i]]);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {balances_in_full, findings_in_full, NULL};
    return run_tests("heat_worked", tests);
}
