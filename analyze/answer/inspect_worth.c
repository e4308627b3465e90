/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the record can tell, and what to be careful with. */
#include "analyze/answer/figure.h"
#include "analyze/answer/inspect_parts.h"

#include "analyze/physics/cautions.h"

#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <string.h>

#define SPREAD_DOUBT_K 4.0 /* range of store - air that cannot tell the loss */
#define SPREAD_NOTE_K 10.0
#define LEAST_S 300.0 /* of a shorter record nothing is worth saying */
#define SUNNY_W_M2 200.0
#define AIR_SWING_K 6.0
#define WARM_K 5.0 /* over the air: evaporation starts to matter */
#define LUKEWARM_DEGC 25.0

/* 2nd to 98th percentile of role - other over sunny rows (least W/m2). */
static double range_of(nr_look *look, nr_role role, nr_role other, double least, double *lo,
                       double *hi)
{
    size_t n = 0;
    *lo = *hi = NAN;
    for (size_t i = 0; i < look->q->rows; i++) {
        double v = nr_quality_value(look->q, role, i);
        if (other < NR_ROLES)
            v -= nr_quality_value(look->q, other, i);
        if (isnan(v) || (least > 0.0 && !(nr_quality_value(look->q, NR_ROLE_SUN, i) > least)))
            continue;
        look->scratch[n++] = v;
    }
    if (n < 30)
        return NAN;
    *lo = gsl_stats_select(look->scratch, 1, n, n / 50);
    *hi = gsl_stats_select(look->scratch, 1, n, n - 1 - n / 50);
    return *hi - *lo;
}

static void look_at_spread(nr_look *look)
{
    nr_role water = look->q->channel[NR_ROLE_STORE].good ? NR_ROLE_STORE : NR_ROLE_INLET;
    double lo, hi, spread = range_of(look, water, NR_ROLE_AIR, SUNNY_W_M2, &lo, &hi);
    if (!(spread < SPREAD_NOTE_K) || look->unit_wrong[water] || look->unit_wrong[NR_ROLE_AIR])
        return;
    nr_find(look, "small-spread", spread < SPREAD_DOUBT_K ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE,
            NR_ROLES, NAN, NAN,
            "Start with colder water and go on until it is much warmer than the air, or add a test "
            "that starts with hot water and fit the two together.",
            "The water was only %s to %s K from the air's temperature. That spread tells the "
            "efficiency but hardly the loss.",
            NR_FIGURE("%+.0f", lo), NR_FIGURE("%+.0f", hi));
}

static void look_at_air(nr_look *look)
{
    double lo, hi, swing = range_of(look, NR_ROLE_AIR, NR_ROLES, 0.0, &lo, &hi);
    if (!(swing > AIR_SWING_K) || look->unit_wrong[NR_ROLE_AIR])
        return;
    nr_find(look, "air-swings", NR_SEVERITY_NOTE, NR_ROLE_AIR, NAN, NAN,
            "See that the air probe hangs in the shade, in moving air, away from the collector.",
            "The air's temperature went from %s to %s degC.", NR_FIGURE("%.0f", lo),
            NR_FIGURE("%.0f", hi));
}

static void look_at_windows(nr_look *look)
{
    if (look->strict_windows)
        nr_find(
            look, "steady-windows", NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
            "They are drawn on the efficiency plot.",
            "%zu stretches are as steady as ISO 9806 asks (limits from memory; diffuse light and "
            "what was not recorded are not checked).",
            look->strict_windows);
    else if (look->field_windows)
        nr_find(
            look, "steady-windows", NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
            "They are drawn on the efficiency plot as a check of the fit, not as a standard "
            "test.",
            "%zu stretches of five minutes are steady by relaxed field limits, none by those of "
            "ISO 9806: a container that warms up never holds the inlet at one temperature.",
            look->field_windows);
}

void nr_look_worth(nr_look *look)
{
    if (look->q->duration_s < LEAST_S)
        return;
    look_at_spread(look);
    look_at_air(look);
    look_at_windows(look);
}

/* The cautions are written for people; findings carry the ASCII unit, which the showing side turns
 * into another system of units. */
static void plain_units(char *text)
{
    static const char degree[] = "\u00b0C";
    for (char *at; (at = strstr(text, degree)) != NULL;) {
        size_t rest = strlen(at + sizeof degree - 1) + 1;
        memmove(at + 4, at + sizeof degree - 1, rest); /* one byte longer than it was */
        memcpy(at, "degC", 4);
    }
}

void nr_look_cautions(nr_look *look)
{
    double lo, hi, excess_lo, excess_hi;
    double spread = range_of(look, NR_ROLE_STORE, NR_ROLES, 0.0, &lo, &hi);
    if (isnan(spread) || look->unit_wrong[NR_ROLE_STORE])
        return;
    range_of(look, NR_ROLE_STORE, NR_ROLE_AIR, 0.0, &excess_lo, &excess_hi);
    if (look->run->rig.store.lid == NR_LID_NO && excess_hi > WARM_K)
        nr_find(look, "no-lid", NR_SEVERITY_NOTE, NR_ROLE_STORE, NAN, NAN,
                "Lay a lid or a floating sheet on it, for the test and for good.",
                "The container has no lid. It also loses heat by evaporation, which grows faster "
                "than the temperature and with the wind; a single loss number is only its mean.");
    char text[1024]; /* twice what a caution needs: plain_units makes it longer */
    text[0] = '\0';
    bool hot = nr_caution_scald(hi, false, text, sizeof text / 2);
    plain_units(text);
    if (hot)
        nr_find(look, "scald", NR_SEVERITY_NOTE, NR_ROLE_STORE, NAN, NAN,
                "Keep children away and mix with cold water first.", "%s", text);
    double t1 = look->run->readings->elapsed_s[look->q->rows - 1];
    double end = nr_look_median(look, NR_ROLE_STORE, NR_ROLES, NR_PUMP_IS_UNKNOWN, t1 - 600.0, t1);
    bool lukewarm =
        end >= LUKEWARM_DEGC && nr_caution_legionella(end, false, text, sizeof text / 2);
    plain_units(text);
    if (lukewarm)
        nr_find(look, "lukewarm", NR_SEVERITY_NOTE, NR_ROLE_STORE, NAN, NAN,
                "This matters for water that is sprayed, drunk or kept overnight.", "%s", text);
}
