/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pump's rows and curve a second time: at the record's flow against the fitted model's own
 * steady state (model/steady.h, a chain of cells that knows no FR); at other flows by the formulas
 * that pump.h names, solved for the absorber's temperature by halving; the tube by its geometry;
 * u of a change by differences and the joint covariance (JCGM 100:2008, 5.2.2). */
#include "analyze/fit/solved.h"
#include "analyze/physics/water.h"
#include "analyze/pump/pump.h"
#include "tests/unit/fit/simulated.h"

static nr_virtual_run *record;
static nr_solved solved;
static nr_pump *pump;
static nr_err err;
static const double coil_m = 0.6;

static void open_pump(double coil_diameter_m)
{
    const nr_run *one = &record->run;
    nr_fit_options options = nr_fit_defaults();
    ck_assert_msg(nr_solve_runs(&one, 1, &options, &solved, &err) == NR_OK, "%s", err.text);
    ck_assert_msg(nr_pump_runs(&one, 1, coil_diameter_m, &options, &pump, &err) == NR_OK, "%s",
                  err.text);
}

static void close_pump(void)
{
    nr_pump_free(pump);
    nr_solved_free(&solved);
    nr_virtual_run_free(record);
}

static nr_virtual_run *short_record(nr_virtual_params p)
{
    p.duration_s = 2400;
    p.interval_s = 30;
    return simulated(&p);
}

/* --- the collector at a flow ------------------------------------------------------------------ */

/* W/m2 to the water and what is behind it. */
typedef struct drawn_heat {
    double gain, fr, loss, factor, capacity;
} drawn_heat;

/* Absorbed less lost at inlet temperature, FR of it; the absorber is warmer than the inlet by what
 * the rest costs (Duffie and Beckman 6.9.4). */
static double plate_over_air(const nr_loop_params *d, double absorbed, double h, double inlet_over,
                             double over, drawn_heat *r)
{
    r->loss = d->loss_W_m2K + (over > 0 ? d->loss2_W_m2K2 * over : 0);
    r->factor = 1 / (1 + r->loss / h);
    double turned = r->loss * r->factor / r->capacity;
    r->fr = -expm1(-turned) / (r->loss / r->capacity);
    r->gain = r->fr * (absorbed - r->loss * inlet_over);
    return inlet_over + r->gain * (1 - r->fr) / (r->fr * r->loss);
}

static double film(double flow_L_min)
{
    nr_bounds b = nr_tube_film_W_m2K(pump->tube, flow_L_min, pump->water_degC);
    return exp((log(b.low) + log(b.high)) / 2) * (M_PI * pump->tube.bore_m) * pump->tube.length_m;
}

static drawn_heat heat_at(const double *x, double times)
{
    nr_loop_params d = nr_joint_device(solved.joint, solved.at.piece, x);
    const nr_steady_conditions *c = &solved.at.conditions;
    double modifier = c->iam > 0 ? c->iam : 1 - d.b0 * c->obliquity, h = d.exchange_W_m2K;
    double absorbed = d.optical * c->sun_W_m2 * modifier - d.aside_W_m2;
    if (c->has_sky)
        absorbed += d.sky * (c->sky_W_m2 + d.sky_offset_W_m2);
    if (pump->tube_known && times != 1) { /* resistances in a row, of which the film's changes */
        double area = d.area_m2, now = film(pump->flow_L_min.value),
               then = film(pump->flow_L_min.value * times);
        double other = fmax(1 / h - area / now, 0), share = (1 / h - other) * now / area;
        h = 1 / (other + share * area / then);
    }
    drawn_heat r = {.capacity = c->flow_W_K * d.flow_factor * times / d.area_m2};
    double inlet_over = pump->water_degC - c->air_degC, low = -50, high = 400;
    for (int i = 0; i < 80; i++) {
        double middle = (low + high) / 2;
        if (plate_over_air(&d, absorbed, h, inlet_over, middle, &r) > middle)
            low = middle;
        else
            high = middle;
    }
    plate_over_air(&d, absorbed, h, inlet_over, low, &r);
    return r;
}

static double change_at(const double *x, double times)
{
    return heat_at(x, times).gain / heat_at(x, 1).gain - 1;
}

/* By differences to both sides, a thousandth of a parameter's scale. */
static double u_of_change(double times)
{
    const nr_joint *j = solved.joint;
    size_t m = nr_joint_parameters(j);
    double *x = malloc(m * sizeof *x), *slope = malloc(m * sizeof *slope);
    ck_assert(x && slope);
    for (size_t i = 0; i < m; i++) {
        memcpy(x, nr_joint_x(j), m * sizeof *x);
        double step = 1e-3 * nr_joint_parameter(j, i).scale;
        x[i] += step;
        double up = change_at(x, times);
        x[i] -= 2 * step;
        slope[i] = (up - change_at(x, times)) / (2 * step);
    }
    double u = sqrt(nr_joint_covariance(j, slope, slope));
    free(x);
    free(slope);
    return u;
}

static void row_is(const nr_pump_row *r, double times)
{
    const double *x = nr_joint_x(solved.joint);
    double area = nr_joint_device(solved.joint, solved.at.piece, x).area_m2;
    drawn_heat at = heat_at(x, times);
    NEAR_RELATIVE(r->times, times, 1e-12);
    NEAR_RELATIVE(r->flow_L_min, pump->flow_L_min.value * times, 1e-12);
    NEAR_RELATIVE(r->removal, at.fr, 1e-6);
    NEAR_RELATIVE(r->gain_W, at.gain * area, 1e-6);
    NEAR(r->outlet_degC, pump->water_degC + at.gain / at.capacity, 1e-5);
    NEAR(r->change.value, change_at(x, times), 1e-6);
    if (!pump->tube_known) {
        ck_assert(isnan(r->reynolds) && isnan(r->drop_Pa.low) && isnan(r->drop_Pa.high));
        ck_assert_int_eq(r->drop_Pa.regime, NR_FLOW_UNKNOWN);
        return;
    }
    nr_bounds drop = nr_tube_pressure_drop_Pa(pump->tube, r->flow_L_min, pump->water_degC);
    NEAR_RELATIVE(r->reynolds, nr_tube_reynolds(pump->tube.bore_m, r->flow_L_min, pump->water_degC),
                  1e-9);
    ck_assert(drop.regime == r->drop_Pa.regime && drop.low == r->drop_Pa.low &&
              drop.high == r->drop_Pa.high);
}

/* FR is of water that flows through; the chain has mixed cells, of which n draw a little less: by
 * their balances 1 - (1 + UL F'/(n c))^-n instead of 1 - exp(-UL F'/c). */
static void steady_state_is(const nr_loop_params *d, const nr_steady_conditions *c)
{
    nr_operating_point steady = nr_steady_state(d, c, pump->water_degC);
    drawn_heat now = heat_at(nr_joint_x(solved.joint), 1);
    double turned = now.loss * now.factor / now.capacity;
    double cells = -expm1(-NR_SEGMENTS * log1p(turned / NR_SEGMENTS)) / -expm1(-turned);
    NEAR_RELATIVE(pump->row[3].gain_W * cells, steady.power_W, 0.002);
    NEAR_RELATIVE((pump->row[3].outlet_degC - pump->water_degC) * cells,
                  steady.outlet_degC - pump->water_degC, 0.002);
}

static void rows_are(void)
{
    static const double times[NR_PUMP_ROWS] = {0.25, 0.5, 0.75, 1, 1.5, 2, 4};
    const double *x = nr_joint_x(solved.joint);
    nr_loop_params d = nr_joint_device(solved.joint, solved.at.piece, x);
    nr_steady_conditions c = solved.at.conditions;
    const nr_series *series = nr_joint_piece(solved.joint, solved.at.piece).series;
    ck_assert(pump->water_degC == series->mean_store_degC && pump->sun_W_m2 == c.sun_W_m2 &&
              pump->air_degC == c.air_degC);
    double litre_W_K =
        nr_water_density_kg_m3(pump->water_degC) / 1000 * nr_water_cp_J_kgK(pump->water_degC) / 60;
    NEAR_RELATIVE(pump->flow_L_min.value, c.flow_W_K * d.flow_factor / litre_W_K, 1e-6);
    ck_assert_uint_eq(pump->rows, NR_PUMP_ROWS);
    steady_state_is(&d, &c);
    for (size_t i = 0; i < NR_PUMP_ROWS; i++) {
        row_is(&pump->row[i], times[i]);
        ck_assert_ptr_eq(nr_pump_row_of(pump, times[i]), &pump->row[i]);
    }
    ck_assert_ptr_null(nr_pump_row_of(pump, 3));
    for (int i = 0; i < NR_PUMP_CURVE; i++)
        row_is(&pump->curve[i], pow(2, (i - 32) / 16.0));
    drawn_heat now = heat_at(x, 1);
    NEAR_RELATIVE(pump->removal.value, now.fr, 1e-6);
    NEAR_RELATIVE(pump->loss_W_m2K, now.loss, 1e-6);
    NEAR_RELATIVE(pump->efficiency_factor, now.factor, 1e-6);
    NEAR_RELATIVE(pump->row[0].change.u, u_of_change(0.25), 0.01);
    NEAR_RELATIVE(pump->row[6].change.u, u_of_change(4), 0.01);
}

static bool says(const char *code)
{
    return warned(&pump->cautions, code) != NULL;
}

/* --- records ---------------------------------------------------------------------------------- */

/* A coil of a tube whose bore and length the rig file states. */
START_TEST(a_glazed_coil)
{
    record = short_record(exact_glazed());
    open_pump(coil_m);
    const nr_rig_collector *c = &record->run.rig.collector;
    ck_assert(pump->tube_known && pump->flow_measured && pump->tube.coil_diameter_m == coil_m);
    NEAR(pump->tube.bore_m, c->tube_bore_mm.value / 1000, 1e-12);
    NEAR(pump->tube.length_m, c->tube_length_m.value, 0);
    rows_are();
    double m3_s = pump->flow_L_min.value / 60000, section = M_PI / 4 * pow(pump->tube.bore_m, 2);
    NEAR_RELATIVE(pump->speed_m_s, m3_s / section, 1e-9);
    NEAR_RELATIVE(pump->transit_s, pump->tube.length_m * section / m3_s, 1e-9);
    const nr_bounds *now = &pump->row[3].drop_Pa, *twice = &pump->row[5].drop_Pa;
    NEAR_RELATIVE(pump->hydraulic_W[0], now->low * m3_s, 1e-9);
    NEAR_RELATIVE(pump->hydraulic_W[1], now->high * m3_s, 1e-9);
    NEAR_RELATIVE(pump->power_at_twice[0], 2 * twice->low / now->high, 1e-9);
    NEAR_RELATIVE(pump->power_at_twice[1], 2 * twice->high / now->low, 1e-9);
    ck_assert(!says("tube-unknown") && !says("straight-tube") && !says("switched"));
    ck_assert_int_eq(says("regime-uncertain"), now->regime == NR_FLOW_UNCERTAIN);
    close_pump();
}
END_TEST

/* Without glass: it sees the sky. And a bore so wide that nobody knows the regime. */
START_TEST(a_bare_one)
{
    nr_virtual_params p = nr_virtual_bare();
    p.exact_device = true;
    record = short_record(p);
    record->run.rig.collector.tube_bore_mm.value = 8;
    open_pump(NAN);
    ck_assert(solved.at.conditions.has_sky && solved.at.conditions.sky_W_m2 < -20);
    rows_are();
    double re = pump->row[3].reynolds;
    ck_assert_msg(re > NR_RE_LAMINAR && re < NR_RE_TURBULENT, "Re %g: this tests nothing", re);
    ck_assert(says("regime-uncertain") && says("straight-tube") && !says("tube-unknown"));
    close_pump();
}
END_TEST

/* The modifier as a table instead of b0, and a tube that nobody measured. */
START_TEST(a_table_of_angles)
{
    record = short_record(exact_glazed());
    nr_rig_collector *c = &record->run.rig.collector;
    c->iam_b0.given = false;
    c->iam =
        (nr_iam_table){.points = 4, .angle_deg = {0, 30, 60, 80}, .factor = {1, 0.9, 0.7, 0.3}};
    c->tube_bore_mm.given = false;
    open_pump(coil_m);
    ck_assert(solved.at.conditions.iam > 0.5 && solved.at.conditions.iam < 0.99);
    ck_assert(!pump->tube_known && isnan(pump->transit_s) && isnan(pump->speed_m_s) &&
              isnan(pump->hydraulic_W[0]) && isnan(pump->hydraulic_W[1]) &&
              isnan(pump->power_at_twice[0]));
    rows_are();
    ck_assert(says("tube-unknown") && !says("straight-tube") && !says("regime-uncertain"));
    close_pump();
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_glazed_coil, a_bare_one, a_table_of_angles, NULL};
    return run_tests("pump worked", tests);
}
