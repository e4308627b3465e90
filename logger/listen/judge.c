/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/listen/inside.h"

#include "logger/run/meaning.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Two fields that carry the same numbers. */
static void judge_twins(const nr_heard *heard, nr_advices *out)
{
    const nr_rig *rig = heard->rig;
    for (size_t a = 0; a < rig->channels; a++)
        for (size_t b = a + 1; b < rig->channels; b++) {
            const nr_rig_channel *x = &rig->channel[a], *y = &rig->channel[b];
            const nr_heard_channel *p = &heard->channel[a], *q = &heard->channel[b];
            if (strcmp(x->adapter, y->adapter) != 0 || strcmp(x->field, y->field) == 0)
                continue;
            if (p->changes >= 3 && p->changes == q->changes && p->raw_low == q->raw_low &&
                p->raw_high == q->raw_high && p->raw == q->raw)
                nr_advise(out, NR_ADVICE_DOUBT, "same-numbers", y->name,
                          "sends the same numbers as %s: is one sensor read twice?", x->name);
        }
}

/* What noonfit will miss. */
static void judge_meaning(const nr_heard *heard, nr_advices *out)
{
    static const char *const wanted[] = {"store", "air", "sun"};
    char missing[64] = "", unknown[200] = "";
    size_t used = 0;
    for (int i = 0; i < 3; i++)
        if (!nr_rig_channel_find(heard->rig, wanted[i]))
            snprintf(missing + strlen(missing), sizeof missing - strlen(missing), "%s%s",
                     missing[0] ? ", " : "", wanted[i]);
    for (size_t c = 0; c < heard->rig->channels; c++) {
        const char *name = heard->rig->channel[c].name;
        int n = nr_meaning_find(name) ? 0
                                      : snprintf(unknown + used, sizeof unknown - used, "%s%s",
                                                 used ? ", " : "", name);
        used = n > 0 && used + (size_t)n < sizeof unknown ? used + (size_t)n : used;
    }
    if (missing[0])
        nr_advise(out, NR_ADVICE_NOTE, "not-enough", "",
                  "the rig has no channel %s; without store, air and sun noonfit cannot find an "
                  "efficiency",
                  missing);
    if (unknown[0])
        nr_advise(out, NR_ADVICE_NOTE, "no-meaning", "",
                  "recorded and plotted but not used by noonfit: %s", unknown);
}

static void faults_first(nr_advices *a)
{
    for (size_t i = 1; i < a->count; i++) { /* insertion keeps the order of equals */
        nr_advice moved = a->advice[i];
        size_t k = i;
        for (; k > 0 && a->advice[k - 1].weight < moved.weight; k--)
            a->advice[k] = a->advice[k - 1];
        a->advice[k] = moved;
    }
}

void nr_judge(const nr_heard *heard, bool us, nr_advices *out)
{
    out->count = 0;
    for (size_t i = 0; i < heard->rig->adapters; i++)
        nr_judge_adapter(heard, i, out);
    for (size_t c = 0; c < heard->rig->channels; c++)
        nr_judge_channel(heard, c, us, out);
    judge_twins(heard, out);
    judge_meaning(heard, out);
    faults_first(out);
}

size_t nr_judge_good_channels(const nr_heard *heard)
{
    size_t good = 0;
    for (size_t c = 0; c < heard->rig->channels; c++)
        good += heard->channel[c].good > 0 ? 1 : 0;
    return good;
}
