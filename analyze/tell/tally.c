/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/tally.h"

#include "analyze/tell/phrase.h"

#include <math.h>

/* Half of a 95 % interval, in standard uncertainties. */
#define HALF95 1.96
/* Past this share of a usual loss the interval says next to nothing of it. */
#define TELLS_LITTLE 0.5

const char *nr_tally_input_words(nr_tally_input input)
{
    static const char *const words[NR_TALLY_INPUTS] = {
        "the water's mass",      "the collector's area", "the temperature before",
        "the temperature after", "the time between",     "the irradiance"};
    return words[input];
}

nr_shown nr_tally_input_shown(nr_tally_input input)
{
    static const nr_shown shown[NR_TALLY_INPUTS] = {NR_SHOWN_WATER,       NR_SHOWN_AREA,
                                                    NR_SHOWN_TEMPERATURE, NR_SHOWN_TEMPERATURE,
                                                    NR_SHOWN_MINUTES,     NR_SHOWN_IRRADIANCE};
    return shown[input];
}

void nr_tell_tally_finding(char *text, size_t size, const nr_tally *t, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    const nr_quantity *share = &t->result[NR_TALLY_EFFICIENCY], *W = &t->result[NR_TALLY_POWER];
    if (share->known)
        NR_SAY(&p,
               "{0 percent .0f} of the sun went into the water (95 %: {1 percent .0f bare} to "
               "{2 percent .0f})",
               .number = {share->value, share->lo95, share->hi95});
    else
        NR_SAY(&p, "{0 power .3g} went into the water (95 %: {1 power .3g bare} to {2 power .3g})",
               .number = {W->value, W->lo95, W->hi95});
}

void nr_tell_tally(char *text, size_t size, const nr_tally *t, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    const nr_quantity *heat = &t->result[NR_TALLY_HEAT], *W = &t->result[NR_TALLY_POWER],
                      *share = &t->result[NR_TALLY_EFFICIENCY];
    const nr_stated *in = t->asked.input;
    if (share->known)
        NR_SAY(&p,
               "Of the sun on the collector {0 percent .0f} went into the water (95 %: "
               "{1 percent .0f bare} to {2 percent .0f}). ",
               .number = {share->value, share->lo95, share->hi95});
    NR_SAY(&p,
           "The {0 water .3g} of water gained {1 energy .2f} (95 %: {2 energy .2f bare} to "
           "{3 energy .2f}) in {4 span}, {5 power .3g} on average ({6 power .3g bare} to "
           "{7 power .3g}).",
           .number = {in[NR_TALLY_WATER].value, heat->value, heat->lo95, heat->hi95,
                      in[NR_TALLY_DURATION].value, W->value, W->lo95, W->hi95});
    if (!share->known)
        NR_SAY(&p, " What share of the sun that is needs the irradiance (--sun, or --site).",
               .name = {NULL});
    if (t->asked.clear_sky)
        NR_SAY(&p,
               " The sun, {0 irradiance .0f} at {1 number .0f} degrees from straight on, is a "
               "cloudless sky's and was not measured: with any cloud the share is larger.",
               .number = {in[NR_TALLY_SUN].value, t->incidence_deg});
}

void nr_tell_tally_limits(char *text, size_t size, const nr_tally *t, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    const nr_tally_result of = t->sun_known ? NR_TALLY_EFFICIENCY : NR_TALLY_POWER;
    NR_SAY(&p, "What limits this answer: {a}, {0 percent .0f} of the variance ({b}).",
           .number = {t->share[of][t->dominates]},
           .name = {nr_tally_input_words(t->dominates),
                    t->u_stated[t->dominates]
                        ? "as stated"
                        : nr_tally_usual_source(t->dominates, t->asked.clear_sky)});
    if (!t->u_stated[NR_TALLY_FROM] || !t->u_stated[NR_TALLY_TO])
        NR_SAY(&p,
               " The errors of the two readings count as independent; what one thermometer shows "
               "wrong both times cancels: state the smaller rest, such as --to 35C+-0.3.",
               .name = {NULL});
}

void nr_tell_tally_cannot(char *text, size_t size, const nr_tally *t, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p,
           "Two readings cannot tell the loss: how much of the rest the collector did not take up, "
           "how much it or the container lost again, and how it would do in other weather. The "
           "heat in the container's walls and in the collector is not counted, that of a pump "
           "in the water is.",
           .name = {NULL});
    if (isfinite(t->over_air_K))
        NR_SAY(&p,
               " The share holds for water {0 difference .1f} {1|colder|warmer} than the air, as "
               "it was on average.",
               .number = {fabs(t->over_air_K), t->over_air_K > 0});
}

/* How well, in words that follow a number and its usual value. */
static const char *worth(double u, double usual)
{
    return HALF95 * u > TELLS_LITTLE * usual ? "which is little to go by" : "which is worth having";
}

void nr_tell_tally_more(char *text, size_t size, const nr_tally *t, nr_tally_more more,
                        nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    double u = t->more_u[more], usual = t->supposed_loss_W_m2K;
    if (!isfinite(u))
        return;
    if (more == NR_TALLY_COOLING) {
        usual = t->supposed_container_W_K;
        NR_SAY(&p,
               "Three of water and air with the pump off, over the next {0 span}: the container's "
               "loss to +- {1 store-loss .2g} (95 %; a bucket with a lid has about "
               "{2 store-loss .2g}), {a}.",
               .number = {NR_TALLY_COOLING_S, HALF95 * u, usual}, .name = {worth(u, usual)});
        return;
    }
    NR_SAY(&p,
           "{a}: the loss of collector and container together to +- {0 collector-loss .2g} (95 %; "
           "one glass has about {1 collector-loss .2g}), {b}.",
           .number = {HALF95 * u, usual},
           .name = {more == NR_TALLY_BETWEEN
                        ? "Three in between, at even times"
                        : "Three afterwards, over as long again in the same sun",
                    worth(u, usual)});
}
