/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/listen/inside.h"

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

/* Adds a word to a list; what has no room is left out. */
static void list(char *to, size_t size, const char *format, const char *word, const char *whose)
{
    char more[2 * NR_NAME + 8];
    int n = snprintf(more, sizeof more, format, word, whose);
    size_t used = strlen(to);
    if (n > 0 && used + (size_t)n + 2 < size)
        snprintf(to + used, size - used, "%s%s", used ? ", " : "", more);
}

/* A role that no collector has, or whose it lacks. */
static void list_missing(const nr_rig *rig, const char *role, char *to, size_t size)
{
    size_t builds = rig->builds > 0 ? rig->builds : 1, lack = 0;
    for (size_t b = 0; b < builds; b++)
        lack += !nr_rig_channel_of(rig, b, role);
    for (size_t b = 0; lack < builds && b < builds; b++)
        if (!nr_rig_channel_of(rig, b, role))
            list(to, size, "%s of %s", role, rig->build[b].collector.name);
    if (lack == builds)
        list(to, size, "%s%s", role, "");
}

/* What noonfit will miss. */
static void judge_meaning(const nr_heard *heard, nr_advices *out)
{
    static const char *const wanted[] = {"store", "air", "sun"};
    char missing[400] = "", unknown[200] = "";
    for (int i = 0; i < 3; i++)
        list_missing(heard->rig, wanted[i], missing, sizeof missing);
    for (size_t c = 0; c < heard->rig->channels; c++)
        if (!nr_rig_channel_role(&heard->rig->channel[c]))
            list(unknown, sizeof unknown, "%s%s", heard->rig->channel[c].name, "");
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
