/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Terms of the collector. */
#include "analyze/joint/inside.h"
#include "analyze/physics/iam.h"
#include "analyze/physics/longwave.h"

#include <math.h>
#include <stdio.h>

/* Standard uncertainties assumed where rig.ini states none: common practice, no source. */
#define ASSUMED_AREA 0.01
#define ASSUMED_CAPACITY 0.2 /* of a stated bill of materials */
#define ASSUMED_FLUID 0.3    /* of a stated content: pipes and pump hold some too */
#define ASSUMED_B0 0.05
/* What can be at all: a fence against absurd minima, so wide that no usable record feels it. */
#define POSSIBLE_OPTICAL 0.7
#define POSSIBLE_OPTICAL_U 0.5
#define POSSIBLE_LOSS 10.0
#define POSSIBLE_LOSS_U 20.0
/* What such collectors lose, counted only where a record has few rows. Certified flat plates 3 to 5
 * W/(m2 K), boxes made at home 5 to 9, bare absorbers 10 to 20 by the wind; common practice, no
 * source. */
#define LOSS_GLAZED 6.0
#define LOSS_TWICE 4.0
#define LOSS_BARE 14.0
#define LOSS_U 0.5
/* Priors where nothing is stated: wide enough to let the record decide. */
#define UNKNOWN_CAPACITY_J_M2K                                                                     \
    10000.0 /* a tube in a thin black box, 1 cm of water's worth: 42000 */
#define UNKNOWN_CAPACITY_U 0.6
#define UNKNOWN_FLUID_L_M2 0.5
#define UNKNOWN_FLUID_U 0.7
#define USUAL_EXCHANGE_W_M2K 60.0
#define USUAL_EXCHANGE_U 0.8
#define USUAL_WIND 1.0 /* W/(m2 K) per m/s: glazed 0.3, bare 3 */
#define USUAL_WIND_U 2.0
#define WIND_VARIES_M_S 0.1 /* of the smoothed wind */
/* The loss of every collector grows with its temperature, by radiation and convection: W/(m2 K2).
 * Certified flat plates 0.005 to 0.02, bare ones somewhat more. */
#define USUAL_LOSS2 0.015
#define USUAL_LOSS2_U 0.015
/* Square root of J/(m2 K): 3 mm of glass (2500 kg/m3, 800 J/(kg K)) has 6000, two panes 12000, a
 * film a few hundred; what is called single may be a film. */
#define COVER_ROOT 60.0
#define COVER_ROOT_U 18.0
#define COVERS_ROOT 105.0
#define COVERS_ROOT_U 25.0
/* A board behind the absorber and the way to it. Stated by material the heat is good to a fifth
 * (the tables of materials, moisture), the way there is not: from a board that touches the plate
 * here and there (10 W/(m2 K)) to an inch of wool in between (1.5). Unstated: plywood of 4 to 12
 * mm, farther off as a rule. Common practice, no source. */
#define ASSUMED_BACK 0.2
#define STATED_GAP_W_M2K 3.0
#define STATED_GAP_U 0.7
#define USUAL_BACK_J_M2K 7000.0
#define USUAL_BACK_U 0.6
#define USUAL_GAP_W_M2K 3.0
#define USUAL_GAP_U 1.0
/* What the loss of a bare plate changes by from one sunny hour to the next, with the wind: by 0.17
 * of itself, rms, and by 0.21 in two hours, in a garden that has 0.3 of the wind over the open
 * field (typical year TMY3 of Denver, National Renewable Energy Laboratory, 2008; the loss 7.7 +
 * 3.8 v, plan/simulate.c; computed in test_weather). The station's wind is a mean over two minutes,
 * and gusts are in it: without them 0.16. */
#define LOSS_TREND_U 0.16
/* One wind blows over all that stand in a garden; what one plate gets more of it than another by
 * its place is less than half of what rises and falls. Common practice, no source. */
#define ONE_WIND 0.8
static const nr_rig *rig_of(const nr_setting *s)
{
    return &s->piece->series->run->rig;
}

static void set(nr_prior *p, double value, double u, bool stated)
{
    p->value = value;
    p->u = u;
    p->stated = stated;
}

static bool optical(const nr_setting *s, nr_prior *p)
{
    (void)s;
    set(p, POSSIBLE_OPTICAL, POSSIBLE_OPTICAL_U, true);
    return true;
}

enum { BY_THE_RECORD, AS_USUAL };

static bool loss(const nr_setting *s, nr_prior *p)
{
    const nr_series *series = s->piece->series;
    set(p, POSSIBLE_LOSS, POSSIBLE_LOSS_U, true);
    if (series->rows >= NR_FEW_ROWS || !series->sparse)
        return true;
    int covers = nr_glazing_covers(rig_of(s)->collector.glazing);
    double container = s->joint->store_loss_separate[s->piece->build]
                           ? 0
                           : nr_joint_usual_store_loss_W_K(series->water_kg) /
                                 rig_of(s)->collector.gross_area_m2.value;
    double usual = covers == 0 ? LOSS_BARE : covers == 1 ? LOSS_GLAZED : LOSS_TWICE;
    set(p, usual + container, hypot(LOSS_U * usual, container), false);
    p->variant = AS_USUAL;
    return true;
}

static bool exchange(const nr_setting *s, nr_prior *p)
{
    (void)s;
    set(p, log(USUAL_EXCHANGE_W_M2K), USUAL_EXCHANGE_U, false);
    return true;
}

static bool capacity(const nr_setting *s, nr_prior *p)
{
    const nr_value *dry = &rig_of(s)->collector.heat_capacity_J_K;
    set(p, log(UNKNOWN_CAPACITY_J_M2K), UNKNOWN_CAPACITY_U, false);
    if (!dry->given || !(dry->value > 0))
        return true;
    p->value = log(dry->value / rig_of(s)->collector.gross_area_m2.value);
    p->u = fmax(nr_relative_u(dry, ASSUMED_CAPACITY, &p->stated), 0.01);
    return true;
}

static bool area(const nr_setting *s, nr_prior *p)
{
    p->u = fmax(nr_relative_u(&rig_of(s)->collector.gross_area_m2, ASSUMED_AREA, &p->stated), 1e-6);
    return true;
}

static bool loss2(const nr_setting *s, nr_prior *p)
{
    (void)s;
    set(p, USUAL_LOSS2, USUAL_LOSS2_U, false);
    return true;
}

static bool cover(const nr_setting *s, nr_prior *p)
{
    int covers = nr_glazing_covers(rig_of(s)->collector.glazing);
    if (covers == 0)
        return false;
    set(p, covers > 1 ? COVERS_ROOT : COVER_ROOT, covers > 1 ? COVERS_ROOT_U : COVER_ROOT_U, false);
    return true;
}

static bool wind(const nr_setting *s, nr_prior *p)
{
    if (!(s->piece->series->wind_sd_m_s > WIND_VARIES_M_S))
        return false;
    set(p, USUAL_WIND, USUAL_WIND_U, false);
    return true;
}

/* Of a bare absorber with wind: the absorber is warmer than the fluid, and the model has that; what
 * is left is the c6 of ISO 9806 data sheets of uncovered collectors, 0.003 to 0.015 s/m as a share
 * of eta0 (from memory). */
#define USUAL_WIND_GAIN_U 0.007

static bool wind_gain(const nr_setting *s, nr_prior *p)
{
    p->u = USUAL_WIND_GAIN_U;
    return !nr_series_glazed(rig_of(s)) && s->piece->series->wind_sd_m_s > WIND_VARIES_M_S;
}

/* Emissivity of what faces the sky: black paint 0.9, glass 0.88 (handbook values), a selective
 * absorber far less. Behind glass the cover takes part, and of its exchange the absorber feels the
 * share of the resistance outside, most of which goes into the usual loss: a small share, stated,
 * no source. */
#define BARE_SKY NR_BARE_SKY_SHARE
#define BARE_SKY_U 0.25
#define GLAZED_SKY 0.1
#define GLAZED_SKY_U 0.1

/* What a glazed absorber gets does not go in proportion to the irradiance. Of the diffuse light it
 * takes less than of the beam: with the modifier of a flat pane what comes from everywhere counts
 * as at 60 degrees (ISO 9806 allows that where Kd is not measured; from memory), 1 - b0 = 0.9, of
 * 100 to 200 W/m2 in the plane, times the gain: 11 W/m2, by b0 and the sky give or take 8. And the
 * pane sees a sky that is colder than the air by the net exchange of a clear day, 40 to 90 W/m2, of
 * which the absorber feels the share of the resistance outside (0.88 * NR_COVER_SHARE): 20, give or
 * take 12. Both are there under clouds and without: so what a cloud takes away is more than its
 * share of the heat. Left out, a collector whose flow and sun vary puts that into the difference of
 * its probes, whose errors are the only other heat that does not go with the sun. Computed; the
 * spreads are common practice, no source. Where the container closes the balance of a closed loop
 * it is part of gain and loss as they were measured. */
#define DIFFUSE_ASIDE 11.0
#define DIFFUSE_ASIDE_U 8.0
#define PANE_ASIDE 20.0
#define PANE_ASIDE_U 12.0

static bool aside(const nr_setting *s, nr_prior *p)
{
    const nr_part *part = s->piece->part;
    bool diffuse = !part->diffuse, pane = !part->sky_W_m2;
    double value = (diffuse ? DIFFUSE_ASIDE : 0) + (pane ? PANE_ASIDE : 0);
    set(p, value, hypot(diffuse ? DIFFUSE_ASIDE_U : 0, pane ? PANE_ASIDE_U : 0), false);
    bool acts = s->piece->driven && nr_series_glazed(rig_of(s)) && (diffuse || pane);
    p->value = acts ? value : 0;
    return acts;
}

/* A driven collector tells the board from its own readings; all do a little. */
static bool back(const nr_setting *s, nr_prior *p)
{
    const nr_rig_collector *c = &rig_of(s)->collector;
    double stated = nr_rig_back_J_m2K(c);
    set(p, log(USUAL_BACK_J_M2K), USUAL_BACK_U, false);
    p->ask = isnan(stated) ? "back in [collector]" : NULL;
    if (isnan(stated) && s->joint->options.no_back) {
        p->value = -INFINITY;
        return false;
    }
    if (isnan(stated))
        return true;
    p->value = stated > 0 ? log(stated) : -INFINITY;
    p->u = ASSUMED_BACK;
    if (c->back_heat_capacity_J_K.given && stated > 0)
        p->u = fmax(nr_relative_u(&c->back_heat_capacity_J_K, ASSUMED_BACK, &p->stated), 0.01);
    return stated > 0;
}

static bool gap(const nr_setting *s, nr_prior *p)
{
    bool told = !isnan(nr_rig_back_J_m2K(&rig_of(s)->collector));
    nr_prior board = *p;
    p->ask = told ? NULL : "back in [collector]";
    set(p, log(told ? STATED_GAP_W_M2K : USUAL_GAP_W_M2K), told ? STATED_GAP_U : USUAL_GAP_U,
        false);
    return back(s, &board);
}

static bool loss_trend(const nr_setting *s, nr_prior *p)
{
    set(p, 0, LOSS_TREND_U, false);
    p->ask = "a channel wind";
    return !nr_series_glazed(rig_of(s)) && !s->piece->part->wind_m_s;
}

/* Droplets on a pane take 10 to 25 % of the sun (greenhouse glazing; from memory), and what dries
 * from a bare plate takes some 250 W/m2 of it at first. Where nobody says whether
 * it was wet, one in four begins so (common practice, no source): mean and standard deviation of
 * the two together. */
#define DEW 0.2
#define DEW_U 0.1
#define PERHAPS_DEW 0.05
#define PERHAPS_DEW_U 0.1

static bool dew(const nr_setting *s, nr_prior *p)
{
    nr_dew said = rig_of(s)->collector.dew;
    bool wet = said != NR_DEW_NO && s->piece->part == s->piece->series->part;
    set(p,
        !wet                 ? 0
        : said == NR_DEW_YES ? DEW
                             : PERHAPS_DEW,
        said == NR_DEW_YES ? DEW_U : PERHAPS_DEW_U, false);
    p->ask = said == NR_DEW_UNKNOWN ? "dew in [collector]" : NULL;
    return wet;
}

/* It dries as it began: a tenth of a millimetre (0.1 kg/m2) goes in 15 minutes where the wet pane
 * is some 10 K above the dew point (mass transfer at 5 mm/s, 0.01 to 0.02 kg/m3 of vapour;
 * computed). Of that, two standard uncertainties each: a film of 0.05 to 0.2 mm (a night's dew is
 * 0.1 to 0.4 mm, of which a part has run off; from memory), 3 to 8 mm/s from still air to a breeze,
 * and the vapour. Together the logarithm of the time is known to hypot(0.35, 0.25, 0.17) = 0.46. */
#define DEW_DRIES_S 900.0
#define DEW_DRIES_U 0.46

static bool dries(const nr_setting *s, nr_prior *p)
{
    bool wet = dew(s, p);
    set(p, log(DEW_DRIES_S), DEW_DRIES_U, false);
    return wet;
}

static bool sky(const nr_setting *s, nr_prior *p)
{
    bool glazed = nr_series_glazed(rig_of(s));
    if (!s->piece->part->sky_W_m2)
        return false;
    set(p, glazed ? GLAZED_SKY : BARE_SKY, glazed ? GLAZED_SKY_U : BARE_SKY_U, false);
    return true;
}

static bool fluid(const nr_setting *s, nr_prior *p)
{
    const nr_rig *rig = rig_of(s);
    double kg, u = UNKNOWN_FLUID_U;

    if (rig->collector.fluid_kg.given && rig->collector.fluid_kg.value > 0) {
        kg = rig->collector.fluid_kg.value;
        u = nr_relative_u(&rig->collector.fluid_kg, ASSUMED_FLUID, &p->stated);
    } else if (rig->collector.tube_length_m.given && rig->collector.tube_bore_mm.given) {
        kg = 1000 * M_PI / 4 * pow(rig->collector.tube_bore_mm.value / 1000, 2) *
             rig->collector.tube_length_m.value;
        u = ASSUMED_FLUID;
    } else {
        kg = UNKNOWN_FLUID_L_M2 * rig->collector.gross_area_m2.value;
    }
    p->value = log(kg * s->piece->series->cp_J_kgK);
    p->u = fmax(u, 0.02);
    return true;
}

static bool b0(const nr_setting *s, nr_prior *p)
{
    const nr_rig *rig = rig_of(s);

    if (!s->piece->part->obliquity || s->piece->part->iam)
        return false;
    const nr_value *given = &rig->collector.iam_b0;
    p->value =
        given->given ? given->value : nr_iam_default_b0(nr_glazing_covers(rig->collector.glazing));
    p->u = given->u_given ? given->u : p->value > 0 ? ASSUMED_B0 : 0;
    p->stated = given->u_given;
    return p->u > 0;
}

/* ---- how they enter ---- */

static void area_enters(const nr_piece *piece, double value, nr_loop_params *q)
{
    q->area_m2 = piece->series->run->rig.collector.gross_area_m2.value * (1 + value);
}

/* Of the board: what the absorber sees of its heat and of the way to it (C' and g' of
 * model/loop.h) both grow by the square metre, which ln C and ln gap have to make up together. */
static double back_chain(const nr_chain *c)
{
    const nr_loop_params *q = c->params;
    if (!(q->back_J_m2K > 0))
        return 0;
    double inside = q->back_gap_W_m2K / (q->back_gap_W_m2K + NR_BACK_OUTSIDE_W_M2K);
    double gap_by = 1 / (2 - inside);
    return gap_by * c->dyn[NR_DYN_LN_GAP] +
           (1 - 2 * (1 - inside) * gap_by) * c->dyn[NR_DYN_LN_BACK];
}

/* The area scales all that goes by the square metre. */
static double area_chain(const nr_chain *c)
{
    const nr_loop_params *q = c->params;
    const double *d = c->dyn;
    double stated = c->piece->series->run->rig.collector.gross_area_m2.value;
    return (q->optical * d[NR_DYN_OPTICAL] + q->loss_W_m2K * d[NR_DYN_LOSS] +
            q->loss2_W_m2K2 * d[NR_DYN_LOSS2] + q->wind_Ws_m3K * d[NR_DYN_WIND] +
            q->sky * d[NR_DYN_SKY] + q->aside_W_m2 * d[NR_DYN_ASIDE] + d[NR_DYN_LN_EXCHANGE] +
            d[NR_DYN_LN_CAPACITY] + d[NR_DYN_LN_COVER] + back_chain(c)) *
           stated / q->area_m2;
}

static void cover_enters(const nr_piece *piece, double value, nr_loop_params *q)
{
    (void)piece;
    q->cover_J_m2K = value * value;
}

static double cover_chain(const nr_chain *c)
{
    return c->value != 0 ? 2 / c->value * c->dyn[NR_DYN_LN_COVER] : 0;
}

const nr_term_row nr_collector_terms[] = {
    {NR_TERM_OPTICAL,
     "optical",
     {"optical gain"},
     "",
     "",
     "",
     .family = NR_TERM_OPTICAL,
     .lasts = true,
     .surprises = true,
     .prior = optical,
     NR_MEMBER(optical),
     .dyn = NR_DYN_OPTICAL},
    {NR_TERM_LOSS,
     "loss",
     {"collector loss", "collector loss, as usual"},
     "",
     "W/(m2 K)",
     "W/(m2 K)",
     .family = NR_TERM_LOSS,
     .lasts = true,
     .surprises = true,
     .prior = loss,
     NR_MEMBER(loss_W_m2K),
     .dyn = NR_DYN_LOSS},
    {NR_TERM_LN_EXCHANGE,
     "exchange",
     {"absorber-to-fluid heat transfer"},
     "",
     "",
     "W/(m2 K)",
     NR_LOGARITHM,
     .family = NR_TERM_LN_EXCHANGE,
     .lasts = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = exchange,
     NR_MEMBER(exchange_W_m2K),
     .dyn = NR_DYN_LN_EXCHANGE},
    {NR_TERM_LN_CAPACITY,
     "capacity",
     {"collector heat capacity"},
     "",
     "",
     "J/(m2 K)",
     NR_LOGARITHM,
     .family = NR_TERM_LN_CAPACITY,
     .lasts = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = capacity,
     NR_MEMBER(capacity_J_m2K),
     .dyn = NR_DYN_LN_CAPACITY},
    {NR_TERM_AREA,
     "area",
     {"gross area"},
     "",
     "",
     "",
     .family = NR_TERM_AREA,
     .lasts = true,
     .surprises = true,
     .input = true,
     .measured_once = true,
     .prior = area,
     .enter = area_enters,
     .chain = area_chain},
    {NR_TERM_LOSS2,
     "loss2",
     {"collector loss, rise with temperature"},
     "",
     "W/(m2 K2)",
     "W/(m2 K2)",
     .family = NR_TERM_LOSS2,
     .lasts = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = loss2,
     NR_MEMBER(loss2_W_m2K2),
     .dyn = NR_DYN_LOSS2},
    {NR_TERM_ROOT_COVER,
     "cover",
     {"glazing, heat capacity"},
     "",
     "",
     "J/(m2 K)",
     NR_SQUARE_ROOT,
     .family = NR_TERM_ROOT_COVER,
     .lasts = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = cover,
     .enter = cover_enters,
     .chain = cover_chain},
    {NR_TERM_WIND,
     "wind",
     {"collector loss, rise with wind"},
     "wind",
     "J/(m3 K)",
     "J/(m3 K)",
     .family = NR_TERM_WIND,
     .lasts = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = wind,
     NR_MEMBER(wind_Ws_m3K),
     .dyn = NR_DYN_WIND},
    {NR_TERM_WIND_GAIN,
     "wind-gain",
     {"optical gain, fall with wind"},
     "wind",
     "s/m",
     "s/m",
     .family = NR_TERM_WIND_GAIN,
     .lasts = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = wind_gain,
     NR_MEMBER(wind_gain_s_m),
     .dyn = NR_DYN_WIND_GAIN},
    {NR_TERM_SKY,
     "sky",
     {"share in the long-wave exchange with the sky"},
     "sky",
     "",
     "",
     .family = NR_TERM_SKY,
     .lasts = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = sky,
     NR_MEMBER(sky),
     .dyn = NR_DYN_SKY},
    {NR_TERM_LN_FLUID,
     "fluid",
     {"fluid content"},
     "",
     "",
     "J/K",
     NR_LOGARITHM,
     .family = NR_TERM_LN_FLUID,
     .lasts = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = fluid,
     NR_MEMBER(fluid_J_K),
     .dyn = NR_DYN_LN_FLUID},
    {NR_TERM_B0,
     "b0",
     {"incidence angle modifier"},
     "",
     "",
     "",
     .family = NR_TERM_B0,
     .lasts = true,
     .surprises = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = b0,
     NR_MEMBER(b0),
     .dyn = NR_DYN_B0},
    {NR_TERM_LN_BACK,
     "back",
     {"board behind the absorber, heat capacity"},
     "",
     "",
     "J/(m2 K)",
     NR_LOGARITHM,
     .family = NR_TERM_LN_BACK,
     .lasts = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = back,
     NR_MEMBER(back_J_m2K),
     .dyn = NR_DYN_LN_BACK},
    {NR_TERM_LN_GAP,
     "gap",
     {"board behind the absorber, heat transfer to it"},
     "",
     "",
     "W/(m2 K)",
     NR_LOGARITHM,
     .family = NR_TERM_LN_GAP,
     .lasts = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = gap,
     NR_MEMBER(back_gap_W_m2K),
     .dyn = NR_DYN_LN_GAP},
    {NR_TERM_ASIDE,
     "aside",
     {"diffuse light and cold sky, not measured"},
     "",
     "W/m2",
     "W/m2",
     .family = NR_TERM_ASIDE,
     .lasts = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = aside,
     NR_MEMBER(aside_W_m2),
     .dyn = NR_DYN_ASIDE},
    {NR_TERM_DEW,
     "dew",
     {"dew on the collector at the start"},
     "",
     "",
     "",
     .scope = NR_OF_RUN,
     .family = NR_TERM_DEW,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_HOUR,
     .prior = dew,
     NR_MEMBER(dew),
     .dyn = NR_DYN_DEW},
    {NR_TERM_LN_DRIES,
     "dries",
     {"dew, how long it takes to dry"},
     "",
     "",
     "s",
     NR_LOGARITHM,
     .scope = NR_OF_RUN,
     .family = NR_TERM_LN_DRIES,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_HOUR,
     .prior = dries,
     NR_MEMBER(dries_s),
     .dyn = NR_DYN_LN_DRIES},
    {NR_TERM_LOSS_TREND,
     "loss-trend",
     {"collector loss, change during the record (wind not measured)"},
     "",
     "",
     "",
     .scope = NR_OF_RUN,
     .family = NR_TERM_LOSS_TREND,
     .input = true,
     .like = ONE_WIND,
     .likeness = NR_LIKE_HOUR,
     .prior = loss_trend,
     NR_MEMBER(loss_trend),
     .dyn = NR_DYN_LOSS_TREND},
};
const size_t nr_collector_terms_count = sizeof nr_collector_terms / sizeof nr_collector_terms[0];
