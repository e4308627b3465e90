/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/derive.h"

#include "analyze/answer/figure.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A posterior this far from a stated value, in stated standard uncertainties, is worth a word. */
#define SURPRISE 2.0
/* Lag-one correlation of whitened residuals, and share of outliers, worth a word. */
#define NOT_WHITE 0.25
#define MANY_OUTLIERS 0.01
/* A prior narrowed by less than this says the record told nothing about the parameter. */
#define UNTOLD 0.9

static void warn_assumed(const nr_joint *j, size_t build, nr_fit *f)
{
    char list[560] = "";
    for (size_t i = 0; i < nr_joint_parameters(j); i++) {
        nr_parameter_view of = nr_joint_parameter(j, i);
        const nr_parameter_view *p = &of;
        bool sensor = p->channel[0] && p->term != NR_TERM_WIND && p->term != NR_TERM_LN_FLOW;
        if (!p->has_prior || p->stated || (!sensor && p->term != NR_TERM_LN_CAPACITY))
            continue;
        bool mine = nr_joint_concerns(j, build, i);
        char one[192];
        if (p->term == NR_TERM_LN_CAPACITY)
            snprintf(one, sizeof one, "%s %.0f %%", p->label, 100 * p->prior_u);
        else if (p->unit[0])
            snprintf(one, sizeof one, "%s %s %s", p->label, NR_FIGURE("%.2g", p->prior_u), p->unit);
        else
            snprintf(one, sizeof one, "%s %.2g %%", p->label, 100 * p->prior_u);
        if (!mine || strstr(list, one) || strlen(list) + strlen(one) + 3 > sizeof list)
            continue;
        if (list[0])
            strcat(list, "; ");
        strcat(list, one);
    }
    if (list[0])
        nr_warn(&f->warnings, "assumed-uncertainty",
                "rig.ini states no uncertainty for these, so usual ones were assumed: %s. Give "
                "u_offset, u_gain (or u_ keys) to make the answer yours.",
                list);
}

static void warn_surprises(const nr_joint *j, size_t build, nr_fit *f)
{
    for (size_t i = 0; i < nr_joint_parameters(j); i++) {
        nr_parameter_view of = nr_joint_parameter(j, i);
        const nr_parameter_view *p = &of;
        if (!p->has_prior || !nr_term_surprises(p->term))
            continue;
        double off = (p->value - p->prior) / p->prior_u;
        bool mine = nr_joint_concerns(j, build, i);
        if (!mine || fabs(off) < SURPRISE)
            continue;
        nr_warn(&f->warnings, "stated-value-doubtful",
                "The record disagrees with a stated value: %s comes out %.1f times its stated "
                "uncertainty %s. Check it, or state a larger uncertainty.",
                p->label, fabs(off), off > 0 ? "above" : "below");
    }
}

static void warn_separation(const nr_joint *j, size_t build, nr_fit *f)
{
    if (f->loss_includes_store)
        nr_warn(&f->warnings, "loss-includes-store",
                "The container's own loss could not be separated from the collector's: a1 and the "
                "curve contain it (a1 is then the loss of the whole rig on the gross area of "
                "collector). To separate them: give [store] loss_W_K, record inlet, outlet and "
                "flow, or let the water cool for half an hour with the pump off and record that.");
    for (size_t i = 0; i < nr_joint_parameters(j); i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        if (p.term != NR_TERM_STORE_LOSS || p.stated)
            continue;
        size_t piece = nr_joint_piece_of(j, build);
        bool mine = nr_joint_index(j, piece, NR_TERM_STORE_LOSS) == (int)i;
        if (mine && p.u > UNTOLD * p.prior_u)
            nr_warn(&f->warnings, "store-loss-not-determined",
                    "The record hardly tells the container's loss: its value is mostly the usual "
                    "one for a container of this size.");
    }
}

static void warn_hidden(const nr_joint *j, size_t build, nr_fit *f)
{
    if (nr_joint_hidden_K(j, build) > 0)
        nr_warn(
            &f->warnings, "hidden-stop",
            "The water's temperature departs from the fit by %s K in steps: the pump probably "
            "stopped some time and nothing in the record shows when. The answer was widened for "
            "it; record flow or the pump's supply to do better.",
            NR_FIGURE("%.2f", nr_joint_hidden_K(j, build)));
}

static void warn_record(const nr_joint *j, size_t build, nr_fit *f)
{
    for (size_t r = 0; r < nr_joint_runs(j); r++) {
        const nr_series *s = nr_joint_series(j, r);
        if (nr_joint_build_of(j, r) != build)
            continue;
        if (s->sun_modelled)
            nr_warn(
                &f->warnings, "sun-not-measured",
                "%s: the irradiance was not measured but taken from a clear-sky model for site "
                "and time, 10 %% uncertain at best; any cloud or haze during the test makes the "
                "efficiency wrong.",
                s->run->folder);
        if (s->bad_readings)
            nr_warn(&f->warnings, "readings-left-out",
                    "%s: %zu readings were left out as bad; `noonfit inspect` lists them.",
                    s->run->folder, s->bad_readings);
        if (s->lost_s >= 60)
            nr_warn(&f->warnings, "gaps-left-out",
                    "%s: %.0f s without irradiance, air%s were left out; what follows a gap starts "
                    "anew.",
                    s->run->folder, s->lost_s, s->flow_known ? " or flow" : "");
        if (s->sun_position_doubtful)
            nr_warn(&f->warnings, "sun-angle-doubtful",
                    "%s: by clock and site the sun was down or behind the collector while the "
                    "record shows bright sun; the incidence angle was not used. Check latitude, "
                    "longitude (east positive), azimuth and the computer's clock.",
                    s->run->folder);
        if (s->run->rig.store.lid == NR_LID_NO)
            nr_warn(&f->warnings, "no-lid",
                    "%s: an open container also loses heat by evaporation, which grows faster than "
                    "the temperature and with wind; a lid makes the loss measurable.",
                    s->run->folder);
        if (!s->flow_known && !s->pump_known)
            nr_warn(&f->warnings, "pump-unseen",
                    "%s: nothing in the record says whether the pump ran; a stop would look like "
                    "loss. Record flow or the pump's supply.",
                    s->run->folder);
    }
}

static void warn_range(nr_fit *f)
{
    double span = f->dT_range[1] - f->dT_range[0];
    nr_warn(&f->warnings, "tested-range",
            "Tested from %s K to %s K over the air; beyond that the curve is an extrapolation "
            "and, for stagnation, an underestimate: read it as \"at least\".",
            NR_FIGURE("%.0f", f->dT_range[0]), NR_FIGURE("%.0f", f->dT_range[1]));
    if (f->a1.known && f->a1.u > 0.3 * fabs(f->a1.value))
        nr_warn(&f->warnings, "loss-uncertain",
                "The loss coefficient is uncertain because the water was only within %s K of "
                "one difference to the air. Start colder, end hotter, or add a run from hot water "
                "in the same fit.",
                NR_FIGURE("%.0f", span));
    if (f->a1.known && f->a1.lo95 < 0)
        nr_warn(&f->warnings, "loss-not-determined",
                "The record does not show that the collector loses heat at all; the loss "
                "coefficient is not usable by itself.");
}

/* Residuals that the noise model has not understood make the random uncertainty too small. */
static void warn_residuals(nr_fit *f)
{
    for (size_t r = 0; r < f->runs; r++) {
        for (size_t c = 0; c < f->run[r].channels; c++) {
            const nr_fit_channel *ch = &f->run[r].channel[c];
            if (!ch->used)
                continue;
            if (fabs(ch->whiteness) > NOT_WHITE)
                nr_warn(&f->warnings, "residuals-not-white",
                        "%s: what is left of channel %s after the fit still remembers (lag-one "
                        "correlation %.2f where 0 is expected); the random uncertainty may be too "
                        "small.",
                        f->run[r].folder, ch->name, ch->whiteness);
            if ((double)ch->outliers > MANY_OUTLIERS * (double)ch->used)
                nr_warn(&f->warnings, "outliers",
                        "%s: %zu of %zu means of channel %s lie more than four standard deviations "
                        "from the fit (they were used); look at the residuals in the picture.",
                        f->run[r].folder, ch->outliers, ch->used, ch->name);
        }
    }
}

void nr_derive_warnings(const nr_joint *j, size_t build, nr_fit *f)
{
    warn_separation(j, build, f);
    warn_hidden(j, build, f);
    warn_record(j, build, f);
    warn_surprises(j, build, f);
    warn_range(f);
    warn_residuals(f);
    warn_assumed(j, build, f);
}
