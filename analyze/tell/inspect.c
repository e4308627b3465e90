/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tell/phrase.h"
#include "analyze/tell/tell.h"
#include "logger/base/utc.h"

#include <math.h>
#include <string.h>

static const char *use_of(const nr_inspect *x)
{
    return x->usable_for_store && x->usable_for_loop
               ? "from the container's temperature and from the loop"
           : x->usable_for_store ? "from the container's temperature"
                                 : "from the loop";
}

/* The first sentence about the worst finding, and how many more there are. */
static void say_worst(nr_phrase *p, const nr_inspect *x)
{
    char text[NR_TELL];
    nr_tell_finding(text, sizeof text, &x->finding[0], p->units);
    char *end = strstr(text, ". ");
    if (end != NULL)
        end[1] = '\0';
    NR_SAY(p, "{a}", .name = {text});
    if (x->doubts > 1)
        NR_SAY(p, " {0 number .0f} more below.", .number = {(double)(x->doubts - 1)});
}

void nr_tell_inspect(char *text, size_t size, const nr_inspect *x, nr_units units)
{
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p, "This record of {0 minutes .0f bare} minutes ", .number = {x->duration_s});
    switch (x->verdict) {
    case NR_RECORD_GOOD:
        NR_SAY(&p, "is good: the collector can be fitted {a}.", .name = {use_of(x)});
        return;
    case NR_RECORD_LACKING:
        NR_SAY(&p, "is sound but does not hold what a fit needs.", .name = {NULL});
        return;
    case NR_RECORD_DARK:
        NR_SAY(
            &p,
            "has no sun: as a cool-down it tells the container's loss (`noonfit fit`), and with a "
            "sunny run of the same build the collector's.",
            .name = {NULL});
        return;
    case NR_RECORD_DOUBTFUL:
        NR_SAY(&p, "can be fitted {a}, but with a doubt: ", .name = {use_of(x)});
        break;
    case NR_RECORD_FAULTY:
        NR_SAY(&p, "can be fitted {a}, but with a fault to mend first: ", .name = {use_of(x)});
        break;
    case NR_RECORD_UNFIT:
        NR_SAY(&p, "cannot be fitted as it is: ", .name = {NULL});
        break;
    }
    say_worst(&p, x);
}

void nr_tell_inspect_record(char *text, size_t size, const nr_inspect *x)
{
    char start[NR_UTC_SIZE] = "";
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (isfinite(x->start_utc_s))
        nr_utc_format(x->start_utc_s, start);
    start[start[0] != '\0' ? 16 : 0] = '\0'; /* to the minute */
    for (char *t = start; *t != '\0'; t++)
        *t = *t == 'T' ? ' ' : *t;
    NR_SAY(&p, "{a}{0|| (}{b}{0||)}: ", .name = {x->folder, x->title},
           .number = {x->title[0] != '\0'});
    NR_SAY(&p,
           "{0 number .0f} rows in {1 minutes .1f} from {a} UTC, one every {2 seconds .1f}; gaps: "
           "{3 number .0f}; steady windows: {4 number .0f}.",
           .name = {start},
           .number = {(double)x->rows, x->duration_s, x->interval_s, (double)x->gaps,
                      (double)x->steady_windows});
}

void nr_tell_inspect_angle(char *text, size_t size, const nr_inspect *x)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    if (isfinite(x->incidence_lo_deg))
        NR_SAY(&p, "The sun stood {0 number .0f} to {1 number .0f} degrees from perpendicular.",
               .number = {x->incidence_lo_deg, x->incidence_hi_deg});
}

void nr_tell_inspect_use(char *text, size_t size, const nr_inspect *x)
{
    nr_phrase p = nr_phrase_begin(text, size, NR_UNITS_SI);
    NR_SAY(
        &p,
        "Usable for: {0|no fit, as it stands|the container's heat balance (store), not the loop's|"
        "the loop's heat balance, not the container's (store)|the container's heat balance "
        "(store) and the loop's}.",
        .number = {x->usable_for_store + 2 * x->usable_for_loop});
}
