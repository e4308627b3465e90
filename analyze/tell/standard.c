/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/standard.h"

#include "analyze/tell/phrase.h"

#include <math.h>
#include <stdio.h>

typedef struct wording {
    const char *words;
    nr_shown kind;
} wording;

static const wording term_words[NR_STD_TERMS] = {
    [NR_STD_ETA0_HEM] = {"eta0,hem  hemispherical light", NR_SHOWN_NUMBER},
    [NR_STD_CONSTANT] = {"          of that whatever the sun", NR_SHOWN_IRRADIANCE},
    [NR_STD_ETA0_B] = {"eta0,b    beam, perpendicular", NR_SHOWN_NUMBER},
    [NR_STD_KD] = {"Kd        diffuse light", NR_SHOWN_NUMBER},
    [NR_STD_A1] = {"a1        loss", NR_SHOWN_COLLECTOR_LOSS},
    [NR_STD_A2] = {"a2        its growth", NR_SHOWN_LOSS_SLOPE},
    [NR_STD_A3] = {"a3 (c3)   wind on the loss", NR_SHOWN_WIND_LOSS},
    [NR_STD_A4] = {"a4 (c4)   long-wave exchange", NR_SHOWN_NUMBER},
    [NR_STD_A5] = {"a5 (c5)   heat capacity", NR_SHOWN_CAPACITY},
    [NR_STD_A6] = {"a6 (c6)   wind on eta0, s/m", NR_SHOWN_NUMBER},
    [NR_STD_BU] = {"bu        the same, 2013, s/m", NR_SHOWN_NUMBER},
    [NR_STD_B1] = {"b1        loss in still air", NR_SHOWN_COLLECTOR_LOSS},
    [NR_STD_B2] = {"b2        wind on the loss", NR_SHOWN_WIND_LOSS},
    [NR_STD_FR_TAU_ALPHA] = {"FR(ta)    eta0 on the inlet", NR_SHOWN_NUMBER},
    [NR_STD_FR_UL] = {"FR UL     loss on the inlet", NR_SHOWN_COLLECTOR_LOSS},
};

const char *nr_standard_words(nr_standard_term term)
{
    return term_words[term].words;
}

nr_shown nr_standard_kind(nr_standard_term term)
{
    return term_words[term].kind;
}

const char *nr_met_word(nr_met met)
{
    static const char *const words[] = {"met", "NOT met", "not known"};
    return words[met];
}

void nr_tell_standard(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    double met = 0, missed = 0, unknown = 0;
    for (int i = 0; i < NR_REQS; i++) {
        met += fit->standard->requirement[i].met == NR_MET_YES;
        missed += fit->standard->requirement[i].met == NR_MET_NO;
        unknown += fit->standard->requirement[i].met == NR_MET_UNKNOWN;
    }
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p,
           "In the terms of ISO 9806, from a record that was not made by it: no certificate. Of "
           "{0 number .0f} requirements looked at: {1 number .0f} met, {2 number .0f} not met, "
           "{3 number .0f} not known.",
           .number = {NR_REQS, met, missed, unknown});
}

/* Where Kd, K and eta0,b come from, or why they are not there. */
static void say_modifier(nr_phrase *p, const nr_standard *s)
{
    static const char *const words[] = {
        [NR_MODIFIER_FITTED] = "",
        [NR_MODIFIER_STATED] =
            " K and Kd ({0 number .3f}) are by the rig file's b0, taken as exact.",
        [NR_MODIFIER_TABLE] =
            " K and Kd ({0 number .3f}) are the rig file's table, taken as exact.",
        [NR_MODIFIER_NONE] = " A bare absorber has no pane to lose light at: Kd is taken as 1.",
        [NR_MODIFIER_NO_ANGLE] =
            " eta0,b, Kd and K are not told: that takes the sun's angle, and with it [site] and "
            "the "
            "collector's tilt_deg and azimuth_deg. eta0,hem is of the angle that was."};
    nr_phrase_say(p, words[s->basis], &(nr_blanks){.number = {s->kd}});
}

void nr_tell_standard_basis(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    const nr_standard *s = fit->standard;
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p,
           "Gross area {0 area .4g}; mean fluid temperature; FR by the published conversion. U = k "
           "u for 95 %, k from the degrees of freedom (dof).",
           .number = {s->gross_area_m2});
    if (s->diffuse_measured)
        NR_SAY(&p, " The diffuse share was measured; eta0,hem is for 15 % of it.", .name = {NULL});
    else
        NR_SAY(&p,
               " The diffuse share was not measured: the light is taken as it was for "
               "hemispherical{0|, and eta0,b supposes 15 % diffuse|}.",
               .number = {s->basis == NR_MODIFIER_NO_ANGLE});
    say_modifier(&p, s);
    if (!isnan(s->wind_reference_m_s))
        NR_SAY(&p, " eta0 and a1 are for a wind of {0 speed .1f} where {1 speed .1f} blew.",
               .number = {s->wind_reference_m_s, fit->mean_wind_m_s});
    else
        NR_SAY(&p, " The wind was not recorded, or hardly changed: eta0 and a1 are for what blew.",
               .name = {NULL});
}

void nr_tell_standard_power(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    const nr_standard *s = fit->standard;
    const nr_quantity *c = &s->value[NR_STD_CONSTANT].q;
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (!c->known) {
        NR_SAY(&p,
               "The powers take the gain as proportional to the irradiance, which is exact at the "
               "record's {0 irradiance .0f} only.",
               .number = {s->span[NR_SPAN_SUN].mean});
        return;
    }
    NR_SAY(
        &p,
        "The powers are of the record's mean sky and wind as above: of eta0,hem times the mean "
        "irradiance {0 irradiance .0f}, {1 irradiance .0f} (u {2 irradiance .0f}) do not go with "
        "the sun (sky, diffuse light), and are the same in each column.",
        .number = {s->span[NR_SPAN_SUN].mean, c->value, c->u});
}

typedef struct requirement_words {
    const char *text; /* {0} the limit, behind it ": " and {1} what was measured */
    const char *measured;
} requirement_words;

static const requirement_words req[NR_REQS] = {
    [NR_REQ_SUN] = {"irradiance at least {0 irradiance .0f}", "{0 irradiance .0f}"},
    [NR_REQ_SUN_BAND] = {"irradiance within {0 irradiance .0f} of its mean", "{0 irradiance .0f}"},
    [NR_REQ_DIFFUSE] = {"diffuse share at most {0 percent .0f}", "{0 percent .0f}"},
    [NR_REQ_INCIDENCE] = {"light lost to the angle at most {0 percent .0f}", "{0 percent .1f}"},
    [NR_REQ_WIND_LEAST] = {"mean wind at least {0 speed .0f}", "{0 speed .1f}"},
    [NR_REQ_WIND_MOST] = {"mean wind at most {0 speed .0f}", "{0 speed .1f}"},
    [NR_REQ_AIR_BAND] = {"air within {0 difference .1f} of its mean", "{0 difference .1f}"},
    [NR_REQ_INLET_BAND] = {"inlet within {0 difference .1f} of its mean", "{0 difference .1f}"},
    [NR_REQ_FLOW_BAND] = {"flow within {0 percent .0f} of its mean", "{0 percent .1f}"},
    [NR_REQ_FLOW_AREA] = {"flow per area within {0 percent .0f} of 0.02 kg/(s m2)",
                          "{0 percent .0f}"},
    [NR_REQ_RISE] = {"mean rise in the collector at least {0 difference .0f}",
                     "{0 difference .1f}"},
    [NR_REQ_POINTS] = {"steady points at least {0 number .0f}", "{0 number .0f}"},
    [NR_REQ_INLETS] = {"inlet temperatures among them at least {0 number .0f}", "{0 number .0f}"},
    [NR_REQ_THERMOMETER] = {"u of inlet and outlet probe at most {0 difference .1f}",
                            "{0 difference .2f}"},
    [NR_REQ_FLOW_METER] = {"u of the flow meter at most {0 percent .0f}", "{0 percent .1f}"},
};

void nr_tell_requirement(char *text, size_t size, const nr_fit *fit, nr_requirement_code code,
                         nr_units units)
{
    const nr_requirement *r = &fit->standard->requirement[code];
    nr_phrase p = nr_phrase_begin(text, size, units);
    nr_phrase_say(&p, req[code].text, &(nr_blanks){.number = {r->limit}});
    nr_phrase_say(&p, ": ", &(nr_blanks){.name = {NULL}});
    if (r->met == NR_MET_UNKNOWN)
        nr_phrase_say(&p, "not recorded or not stated", &(nr_blanks){.name = {NULL}});
    else
        nr_phrase_say(&p, req[code].measured, &(nr_blanks){.number = {r->measured}});
}

void nr_tell_day_output(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    const nr_day_output *d = &fit->standard->day;
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (!d->known) {
        NR_SAY(&p,
               "No day's output in the form of ISO 9459-2: it takes {0 number .0f} records or more "
               "of whole days with different sun and different cold water ({1 number .0f} here).",
               .number = {NR_DAYS_LEAST, (double)d->days});
        return;
    }
    NR_SAY(&p,
           "Output of a record in the form of ISO 9459-2, from {0 number .0f} of them: Q = {1 area "
           ".3f} H {2 number +.3g} J/K (air - cold water) {3 number +.3g} J, H the irradiation of "
           "the plane; standard uncertainties {4 area .3f}, {5 number .2g} J/K, {6 number .2g} J; "
           "records scatter by {7 energy .3f}.",
           .number = {(double)d->days, d->per_irradiation.value, d->per_difference.value,
                      d->constant.value, d->per_irradiation.u, d->per_difference.u, d->constant.u,
                      d->residual_J});
}

void nr_tell_standard_drop(char *text, size_t size, const nr_fit *fit, nr_units units)
{
    const nr_bounds *b = &fit->standard->pressure_drop_Pa;
    nr_phrase p = nr_phrase_begin(text, size, units);
    if (!isfinite(b->low)) {
        NR_SAY(&p, "Pressure drop: not measured, and the tube is not stated.", .name = {NULL});
        return;
    }
    NR_SAY(&p, "Pressure drop at the mean flow: {0 pressure .1f}", .number = {b->low});
    if (b->high > 1.001 * b->low)
        NR_SAY(&p, " to {0 pressure .1f}", .number = {b->high});
    NR_SAY(&p, ", computed for the straight tube as stated, not measured.", .name = {NULL});
}
