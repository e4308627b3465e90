/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known before the fit, term by term: what the rig file states enters as it is stated,
 * with its uncertainty worked out by hand here (propagation as in the GUM, JCGM 100:2008, 5.1);
 * what it leaves open, as the constants of terms_*.c say (theirs: common practice, no source). */
#include "analyze/joint/evaluate.h"
#include "analyze/joint/inside.h"
#include "tests/unit/quality/records.h"

typedef struct desk {
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *joint;
} desk;

static desk *desk_of(const nr_virtual_params *p, void (*change)(nr_rig *, double), double v)
{
    desk *d = calloc(1, sizeof *d);
    nr_err err = {0};
    static const size_t build_of[1] = {0};
    nr_joint_options options = {.use_store = true, .use_loop = true};
    d->run = simulate(p);
    change(&d->run->run.rig, v);
    nr_code code = nr_series_build(&d->run->run, &d->series, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    const nr_series *one = d->series;
    code = nr_joint_setup(&one, build_of, 1, 1, &options, &d->joint, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    return d;
}

static void tear_down(desk *d)
{
    nr_joint_free(d->joint);
    nr_series_free(d->series);
    nr_virtual_run_free(d->run);
    free(d);
}

static nr_virtual_params short_run(void)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 900;
    p.interval_s = 5;
    return p;
}

static nr_rig_channel *channel(nr_rig *rig, const char *name)
{
    for (size_t i = 0; i < rig->channels; i++)
        if (strcmp(rig->channel[i].name, name) == 0)
            return &rig->channel[i];
    ck_abort_msg("no channel %s", name);
    return NULL;
}

static void give(nr_value *v, double value, double u)
{
    *v = (nr_value){.given = true, .value = value, .u_given = !isnan(u), .u = u};
}

/* --- what is changed ------------------------------------------------------------------------- */

static void flow_gain(nr_rig *rig, double u)
{
    channel(rig, "flow")->u_gain = u;
    channel(rig, "flow")->u_offset = NAN;
}
static void flow_gain_and_offset(nr_rig *rig, double u)
{
    channel(rig, "flow")->u_gain = 0.03;
    channel(rig, "flow")->u_offset = u;
}
static void water_weighed(nr_rig *rig, double u_kg)
{
    give(&rig->store.water_kg, 40, u_kg);
}
static void container_loss(nr_rig *rig, double u)
{
    give(&rig->store.loss_W_K, 2.5, u);
}
static void dry_container(nr_rig *rig, double u)
{
    give(&rig->store.water_kg, 40, 0.1);
    give(&rig->store.dry_heat_capacity_J_K, 3000, u);
}
static void fluid_weighed(nr_rig *rig, double u_kg)
{
    give(&rig->collector.fluid_kg, 1.5, u_kg);
}
static void tube_measured(nr_rig *rig, double bore_mm)
{
    rig->collector.fluid_kg.given = false;
    give(&rig->collector.tube_length_m, 20, NAN);
    give(&rig->collector.tube_bore_mm, bore_mm, NAN);
}
static void fluid_open(nr_rig *rig, double area_m2)
{
    rig->collector.fluid_kg.given = false;
    rig->collector.tube_length_m.given = false;
    rig->collector.gross_area_m2.value = area_m2;
}
static void sun_gain(nr_rig *rig, double u)
{
    channel(rig, "sun")->plane = NR_PLANE_COLLECTOR;
    channel(rig, "sun")->u_gain = u;
}
static void sun_offset(nr_rig *rig, double u)
{
    channel(rig, "sun")->u_offset = u;
}
static void air_gain_and_offset(nr_rig *rig, double u)
{
    channel(rig, "air")->u_offset = 0.3;
    channel(rig, "air")->u_gain = u;
}
static void air_unstated(nr_rig *rig, double u)
{
    channel(rig, "air")->u_offset = u;
}
static void b0_stated(nr_rig *rig, double u)
{
    give(&rig->collector.iam_b0, 0.12, u);
}
static void drifts(nr_rig *rig, double u)
{
    channel(rig, "inlet")->u_drift = channel(rig, "store")->u_drift = u;
}
static void drift_open(nr_rig *rig, double u_offset)
{
    drifts(rig, NAN);
    channel(rig, "inlet")->u_offset = channel(rig, "store")->u_offset = u_offset;
}
static void dew_open(nr_rig *rig, double u)
{
    (void)u;
    rig->collector.dew = NR_DEW_UNKNOWN;
}

/* What a record states by itself. */
static double typical_flow(const desk *d)
{
    return d->series->flow_guess_L_min;
}
static double mean_air(const desk *d)
{
    return d->series->mean_air_degC;
}
static double cp(const desk *d)
{
    return d->series->cp_J_kgK;
}
static double nothing(const desk *d)
{
    (void)d;
    return 1;
}

/* --- the table -------------------------------------------------------------------------------
 * The prior is `value`, or the logarithm of value * times; its u is hypot(u, more * times^power).
 */

static const struct row {
    const char *what;
    nr_term term;
    void (*change)(nr_rig *, double);
    double set;
    double value; /* NAN: not asked */
    bool logarithm;
    double u, more;
    double (*times)(const desk *);
    int power; /* of it in `more` */
} rows[] = {
    {"meter's gain", NR_TERM_LN_FLOW, flow_gain, 0.05, NAN, false, 0.05, 0, nothing, 1},
    {"no gain stated", NR_TERM_LN_FLOW, flow_gain, NAN, NAN, false, 0.03, 0, nothing, 1},
    {"meter's offset", NR_TERM_LN_FLOW, flow_gain_and_offset, 0.2, NAN, false, 0.03, 0.2,
     typical_flow, -1},
    {"water weighed", NR_TERM_WATER, water_weighed, 0.2, NAN, false, 0.005, 0, nothing, 1},
    {"water of no u", NR_TERM_WATER, water_weighed, NAN, NAN, false, 0.02, 0, nothing, 1},
    {"container's loss", NR_TERM_STORE_LOSS, container_loss, 0.3, 2.5, false, 0.3, 0, nothing, 1},
    {"loss of no u", NR_TERM_STORE_LOSS, container_loss, NAN, 2.5, false, 0.5, 0, nothing, 1},
    {"dry container", NR_TERM_DRY, dry_container, 200, 3000, false, 200, 0, nothing, 1},
    {"dry of no u", NR_TERM_DRY, dry_container, NAN, 3000, false, 600, 0, nothing, 1},
    {"fluid weighed", NR_TERM_LN_FLUID, fluid_weighed, 0.15, 1.5, true, 0.1, 0, cp, 1},
    /* 20 m of 13 mm hold pi/4 * 0.013^2 * 20 m3 of water: 2.655 kg. */
    {"tube measured", NR_TERM_LN_FLUID, tube_measured, 13, 2.6546, true, 0.3, 0, cp, 1},
    /* Half a litre to the square metre. */
    {"fluid open", NR_TERM_LN_FLUID, fluid_open, 3, 1.5, true, 0.7, 0, cp, 1},
    {"sun sensor's gain", NR_TERM_SUN_GAIN, sun_gain, 0.03, NAN, false, 0.03, 0, nothing, 1},
    {"sun of no gain", NR_TERM_SUN_GAIN, sun_gain, NAN, NAN, false, 0.05, 0, nothing, 1},
    {"sun sensor's offset", NR_TERM_SUN_OFFSET, sun_offset, 4, NAN, false, 4, 0, nothing, 1},
    {"air probe", NR_TERM_AIR_OFFSET, air_gain_and_offset, 0.02, NAN, false, 0.3, 0.02, mean_air,
     1},
    {"air unstated", NR_TERM_AIR_OFFSET, air_unstated, NAN, NAN, false, 0.5, 0, nothing, 1},
    {"drift stated", NR_TERM_DRIFT_INLET, drifts, 0.07, 0, false, 0.07, 0, nothing, 1},
    {"drift of the store", NR_TERM_DRIFT_STORE, drifts, 0.07, 0, false, 0.07, 0, nothing, 1},
    {"drift open", NR_TERM_DRIFT_INLET, drift_open, NAN, 0, false, 0.115, 0, nothing, 1},
    {"drift of the store open", NR_TERM_DRIFT_STORE, drift_open, NAN, 0, false, 0.91, 0, nothing, 1},
    /* However good it was in a bath. */
    {"drift of the store by offset", NR_TERM_DRIFT_STORE, drift_open, 0.05, 0, false, 0.91, 0,
     nothing, 1},
    /* Known to be off by less, it drifts by less, but not by less than on a good day. */
    {"drift by offset", NR_TERM_DRIFT_INLET, drift_open, 0.06, 0, false, 0.06, 0, nothing, 1},
    {"drift by a small offset", NR_TERM_DRIFT_INLET, drift_open, 0.01, 0, false, 0.035, 0, nothing,
     1},
    {"drift by a large offset", NR_TERM_DRIFT_INLET, drift_open, 0.3, 0, false, 0.115, 0, nothing,
     1},
    {"dew open", NR_TERM_DEW, dew_open, NAN, 0.05, false, 0.1, 0, nothing, 1},
    {"b0 stated", NR_TERM_B0, b0_stated, 0.02, 0.12, false, 0.02, 0, nothing, 1},
};

START_TEST(as_stated)
{
    const struct row *r = &rows[_i];
    nr_virtual_params p = short_run();
    desk *d = desk_of(&p, r->change, r->set);
    int i = nr_joint_index(d->joint, 0, r->term);
    ck_assert_msg(i >= 0, "%s: no term", r->what);
    nr_parameter_view view = nr_joint_parameter(d->joint, (size_t)i);
    double times = r->times(d);
    NEAR_AT(r->what, view.prior_u, hypot(r->u, r->more * pow(times, r->power)), 1e-6 * r->u);
    if (!isnan(r->value))
        NEAR_AT(r->what, view.prior, r->logarithm ? log(r->value * times) : r->value, 1e-4);
    ck_assert_msg(view.stated == (!isnan(r->set) && r->change != tube_measured &&
                                  r->change != fluid_open && r->change != drift_open),
                  "%s: stated %d", r->what, view.stated);
    tear_down(d);
}
END_TEST

static void as_it_is(nr_rig *rig, double v)
{
    (void)rig;
    (void)v;
}

/* --- what nobody stated -------------------------------------------------------------------------
 * The usual collector and container, as terms_*.c give them with their reasons (common practice,
 * but for the heat of a pane: 3 mm of glass, 2500 kg/m3, 800 J/(kg K), are 6000 J/(m2 K); a film a
 * few hundred: the root 60 +- 18 holds both within two). */
static void nothing_told(nr_rig *rig, double v)
{
    nr_rig_collector *c = &rig->collector;
    (void)v;
    c->heat_capacity_J_K.given = c->iam_b0.given = c->back_heat_capacity_J_K.given = false;
    c->gross_area_m2.u_given = false;
    memset(&c->back, 0, sizeof c->back);
    c->dew = NR_DEW_UNKNOWN;
    rig->store.pump_W.given = rig->store.opening_m2.given = rig->store.water_end_kg.given = false;
    rig->store.lid = NR_LID_UNKNOWN;
    rig->store.dry_heat_capacity_J_K.given = false;
    give(&rig->store.water_kg, 40, NAN);
}
static void glazed_by(nr_rig *rig, double covers)
{
    nothing_told(rig, 0);
    rig->collector.glazing = covers < 1   ? NR_GLAZING_NONE
                             : covers < 2 ? NR_GLAZING_SINGLE
                                          : NR_GLAZING_DOUBLE;
}
static void of_materials(nr_rig *rig, double u_J_K)
{
    nothing_told(rig, 0);
    rig->collector.gross_area_m2.value = 2;
    give(&rig->collector.heat_capacity_J_K, 16000, u_J_K);
}
static void board_told(nr_rig *rig, double u_J_K)
{
    nothing_told(rig, 0);
    rig->collector.gross_area_m2.value = 2;
    give(&rig->collector.back_heat_capacity_J_K, 10000, u_J_K);
}
static void pump_told(nr_rig *rig, double u_W)
{
    nothing_told(rig, 0);
    give(&rig->store.pump_W, 10, u_W);
}
static void wet(nr_rig *rig, double v)
{
    nothing_told(rig, v);
    rig->collector.dew = NR_DEW_YES;
}
static void lid(nr_rig *rig, double which)
{
    nothing_told(rig, 0);
    rig->store.lid = (nr_lid)(int)which;
}
static void open_by(nr_rig *rig, double u_m2)
{
    nothing_told(rig, 0);
    give(&rig->store.opening_m2, 0.2, u_m2);
}
static void weighed_again(nr_rig *rig, double u_kg)
{
    nothing_told(rig, 0);
    give(&rig->store.water_kg, 40, u_kg);
    give(&rig->store.water_end_kg, 39, u_kg);
}
#define OPENING_M2 (0.00923 * 11.696) /* as wide as high: (pi/4)^(1/3) V^(2/3) of 40 kg */
/* Still air halves Carrier's coefficient, 1 m/s adds 0.44, half of 0.0782/0.089. */
#define OPEN (0.94 * OPENING_M2)

static const struct {
    const char *what;
    nr_term term;
    void (*change)(nr_rig *, double);
    double set, value, u; /* value NAN: not asked */
} usual[] = {
    {"gain", NR_TERM_OPTICAL, nothing_told, 0, 0.7, 0.5},
    {"loss", NR_TERM_LOSS, nothing_told, 0, 10, 20},
    {"exchange", NR_TERM_LN_EXCHANGE, nothing_told, 0, 4.0943446, 0.8},
    {"heat", NR_TERM_LN_CAPACITY, nothing_told, 0, 9.2103404, 0.6},
    {"heat, by materials", NR_TERM_LN_CAPACITY, of_materials, 1600, 8.9871968, 0.1},
    {"heat, by materials of no u", NR_TERM_LN_CAPACITY, of_materials, NAN, 8.9871968, 0.2},
    {"heat, as nobody knows it", NR_TERM_LN_CAPACITY, of_materials, 80, 8.9871968, 0.01},
    {"loss with temperature", NR_TERM_LOSS2, nothing_told, 0, 0.015, 0.015},
    {"a pane", NR_TERM_ROOT_COVER, glazed_by, 1, 60, 18},
    {"two panes", NR_TERM_ROOT_COVER, glazed_by, 2, 105, 25},
    {"modifier, a pane", NR_TERM_B0, glazed_by, 1, 0.1, 0.05},
    {"modifier, two", NR_TERM_B0, glazed_by, 2, 0.17, 0.05},
    {"board", NR_TERM_LN_BACK, nothing_told, 0, 8.8536654, 0.6},
    {"way to it", NR_TERM_LN_GAP, nothing_told, 0, 1.0986123, 1},
    {"board, stated", NR_TERM_LN_BACK, board_told, 500, 8.5171932, 0.05},
    {"board, of no u", NR_TERM_LN_BACK, board_told, NAN, 8.5171932, 0.2},
    {"board, as nobody knows it", NR_TERM_LN_BACK, board_told, 50, 8.5171932, 0.01},
    {"way to it, stated", NR_TERM_LN_GAP, board_told, NAN, 1.0986123, 0.7},
    {"area", NR_TERM_AREA, nothing_told, 0, 0, 0.01},
    {"the model's gain", NR_TERM_MODEL_GAIN, nothing_told, 0, 0, 0.005},
    {"the model's loss", NR_TERM_MODEL_LOSS, glazed_by, 1, 0, 0.05},
    {"the model's loss, bare, with a loop", NR_TERM_MODEL_LOSS, glazed_by, 0, 0, 0.05},
    {"wind that nobody measured", NR_TERM_LOSS_TREND, glazed_by, 0, 0, 0.16},
    {"dew", NR_TERM_DEW, wet, 0, 0.2, 0.1},
    {"dew or none", NR_TERM_DEW, nothing_told, 0, 0.05, 0.1},
    /* ln of a quarter of an hour; within a factor of 2.5, either way */
    {"dew dries", NR_TERM_LN_DRIES, wet, 0, 6.8023948, 0.46},
    {"dew dries, if any", NR_TERM_LN_DRIES, nothing_told, 0, 6.8023948, 0.46},
    {"pump", NR_TERM_LN_PUMP, nothing_told, 0, 2.1972246, 1.3}, /* 9 W, 12 W */
    {"pump, stated", NR_TERM_LN_PUMP, pump_told, 0.3, 2.3025851, 0.03},
    {"pump, of no u", NR_TERM_LN_PUMP, pump_told, NAN, 2.3025851, 0.15},
    {"pump, as nobody knows it", NR_TERM_LN_PUMP, pump_told, 0.05, 2.3025851, 0.01},
    {"where the water began", NR_TERM_T_STORE, nothing_told, 0, NAN, 5},
    {"where the box began", NR_TERM_T_COLLECTOR, nothing_told, 0, NAN, 20},
    {"container, dry", NR_TERM_DRY, nothing_told, 0, NAN, 0.01 * 40 * 4184},
};

START_TEST(as_usual)
{
    nr_virtual_params p = short_run();
    desk *d = desk_of(&p, usual[_i].change, usual[_i].set);
    int i = nr_joint_index(d->joint, 0, usual[_i].term);
    ck_assert_msg(i >= 0, "%s: no term", usual[_i].what);
    nr_parameter_view view = nr_joint_parameter(d->joint, (size_t)i);
    NEAR_AT(usual[_i].what, view.prior_u, usual[_i].u, 2e-3 * usual[_i].u);
    if (!isnan(usual[_i].value))
        NEAR_AT(usual[_i].what, view.prior, usual[_i].value, 1e-6);
    tear_down(d);
}
END_TEST

/* Open water counts where the container's loss is a term of its own. */
static const struct {
    const char *what;
    nr_term term;
    void (*change)(nr_rig *, double);
    double set, value, u; /* u NAN: no such term */
} water_lost[] = {
    {"no lid", NR_TERM_OPENING, lid, NR_LID_NO, OPEN, OPEN * 0.6403124},
    /* half of it, give or take half: hypot(0.5, 0.5 hypot(0.4, 0.5)) */
    {"a lid or none", NR_TERM_OPENING, lid, NR_LID_UNKNOWN, OPEN / 2, OPEN * 0.5937171},
    {"a lid", NR_TERM_OPENING, lid, NR_LID_YES, NAN, NAN},
    {"an opening, measured", NR_TERM_OPENING, open_by, 0.01, 0.188, 0.188 * 0.4031129},
    {"an opening of no u", NR_TERM_OPENING, open_by, NAN, 0.188, 0.188 * 0.4123106},
    {"humidity", NR_TERM_HUMIDITY, lid, NR_LID_NO, 0, 0.15},
    /* On one scale: 0.005 sqrt(2 (1 - 0.9)). */
    {"weighed again", NR_TERM_LOST, weighed_again, 0.2, 0.025, 0.00223607},
    {"weighed again, of no u", NR_TERM_LOST, weighed_again, NAN, 0.025, 0.00884590},
    /* A quarter of an hour under a lid: 0.025 kg that drip, and one container in sixteen leaks a
       tenth: 0.025. */
    {"dripped", NR_TERM_LOST, lid, NR_LID_YES, 0, 0.0250078},
    {"dripped and dried", NR_TERM_LOST, lid, NR_LID_NO, 0, 0.0250170},
};

START_TEST(water_that_goes)
{
    nr_virtual_params p = short_run();
    desk *d = desk_of(&p, water_lost[_i].change, water_lost[_i].set);
    int i = nr_joint_index(d->joint, 0, water_lost[_i].term);
    ck_assert_msg((i >= 0) == !isnan(water_lost[_i].u), "%s: term %d", water_lost[_i].what, i);
    if (i >= 0) {
        nr_parameter_view view = nr_joint_parameter(d->joint, (size_t)i);
        NEAR_AT(water_lost[_i].what, view.prior, water_lost[_i].value, 2e-3 * water_lost[_i].u);
        NEAR_AT(water_lost[_i].what, view.prior_u, water_lost[_i].u, 2e-4 * water_lost[_i].u);
    }
    tear_down(d);
}
END_TEST

/* Where a loop beside the container would tell of it, less is left open. */
START_TEST(water_that_goes_unseen)
{
    nr_virtual_params p = short_run();
    p.channels = NR_VC_STORE_SET;
    desk *d = desk_of(&p, lid, NR_LID_YES);
    int i = nr_joint_index(d->joint, 0, NR_TERM_LOST);
    ck_assert_int_ge(i, 0);
    nr_parameter_view view = nr_joint_parameter(d->joint, (size_t)i);
    NEAR(view.prior, 0, 1e-12);
    NEAR(view.prior_u, 0.0750026, 2e-6);
    tear_down(d);
}
END_TEST

/* A record of few rows leans on what such collectors lose, half of it give or take, and on the
 * container's loss where that is no term of its own. */
static const struct {
    double covers, loss;
} few_rows[] = {{0, 14}, {1, 6}, {2, 4}};

START_TEST(a_loss_as_usual)
{
    nr_virtual_params p = short_run();
    p.duration_s = 3600;
    p.interval_s = 900;
    desk *d = desk_of(&p, glazed_by, few_rows[_i].covers);
    int i = nr_joint_index(d->joint, 0, NR_TERM_LOSS);
    ck_assert_int_ge(i, 0);
    nr_parameter_view view = nr_joint_parameter(d->joint, (size_t)i);
    ck_assert_int_eq((int)view.variant, 1);
    double container =
        d->joint->store_loss_separate[0]
            ? 0
            : nr_joint_usual_store_loss_W_K(40) / d->run->run.rig.collector.gross_area_m2.value;
    NEAR(view.prior, few_rows[_i].loss + container, 1e-9);
    NEAR(view.prior_u, hypot(few_rows[_i].loss / 2, container), 1e-9);
    tear_down(d);
}
END_TEST

/* A flow that nobody measured goes with a power of what drives its pump: of the voltage 2 +- 0.7,
 * of the current 1 +- 0.4, of the power 0.5 +- 0.2 (affinity laws; terms_store.c). */
static const struct {
    const char *unit;
    double power, u;
} supplies[] = {{"V", 2, 0.7}, {"A", 1, 0.4}, {"W", 0.5, 0.2}};

static void supply_in(nr_rig *rig, double which)
{
    channel(rig, "pump")->unit = nr_unit_find(supplies[(int)which].unit);
}

START_TEST(the_supplys_power)
{
    nr_virtual_params p = nr_virtual_glazed();
    nr_virtual_stall_day(&p);
    p.channels = NR_VC_STORE_SET | NR_VC_BIT(NR_VC_PUMP);
    p.interval_s = 10;
    desk *d = desk_of(&p, supply_in, _i);
    int i = nr_joint_index(d->joint, 0, NR_TERM_FLOW_EXPONENT);
    ck_assert_int_ge(i, 0);
    nr_parameter_view view = nr_joint_parameter(d->joint, (size_t)i);
    NEAR_AT(supplies[_i].unit, view.prior, supplies[_i].power, 1e-12);
    NEAR_AT(supplies[_i].unit, view.prior_u, supplies[_i].u, 1e-12);
    tear_down(d);
}
END_TEST

/* A sensor that reads half or twice what is there is bad, and simulated; one that reads nothing
 * (-1) is outside what can be. The fence in evaluate.c is at a tenth. */
START_TEST(how_wrong_a_sensor_may_be)
{
    nr_virtual_params p = short_run();
    desk *d = desk_of(&p, as_it_is, 0);
    nr_joint *j = d->joint;
    int gain = nr_joint_index(j, 0, NR_TERM_SUN_GAIN);
    double *x = malloc(j->parameters * sizeof *x), *r = malloc(j->rows * sizeof *r);
    for (size_t i = 0; i < j->parameters; i++)
        x[i] = j->parameter[i].start;
    static const struct {
        double gain;
        bool taken;
    } gains[] = {{-0.5, true}, {1, true}, {-0.89, true}, {-0.91, false}};
    for (size_t i = 0; i < sizeof gains / sizeof *gains; i++) {
        x[gain] = gains[i].gain;
        ck_assert_msg((nr_joint_residuals(x, j, r) == 0) == gains[i].taken, "gain %g",
                      gains[i].gain);
    }
    free(x);
    free(r);
    tear_down(d);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("priors");
    TCase *t = tcase_create("priors");
    tcase_add_loop_test(t, as_stated, 0, (int)(sizeof rows / sizeof *rows));
    tcase_add_loop_test(t, the_supplys_power, 0, (int)(sizeof supplies / sizeof *supplies));
    tcase_add_loop_test(t, as_usual, 0, (int)(sizeof usual / sizeof *usual));
    tcase_add_loop_test(t, water_that_goes, 0, (int)(sizeof water_lost / sizeof *water_lost));
    tcase_add_test(t, water_that_goes_unseen);
    tcase_add_loop_test(t, a_loss_as_usual, 0, (int)(sizeof few_rows / sizeof *few_rows));
    tcase_add_test(t, how_wrong_a_sensor_may_be);
    suite_add_tcase(s, t);
    return run_suite(s);
}
