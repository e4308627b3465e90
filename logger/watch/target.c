/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/watch/target.h"

#include "logger/base/text.h"
#include "logger/record/stamp.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define TARGET_READINGS 3

bool nr_target_reached(const nr_tail *t, double target_degC)
{
    const nr_tail_channel *store = nr_tail_find(t, "store");
    int seen = 0;
    for (size_t i = store ? t->rows : 0; i-- > 0 && seen < TARGET_READINGS;) {
        if (isnan(store->value[i]))
            continue;
        if (store->value[i] < target_degC)
            return false;
        seen++;
    }
    return seen == TARGET_READINGS;
}

static void target_words(const char *what, double target_degC, char *out, size_t size)
{
    snprintf(out, size, "%s has reached %.1f degC (%.1f degF)", what, target_degC,
             nr_degC_shown(target_degC, true));
}

/* Two people may watch with the same target: one note is enough. */
static bool is_noted(const nr_tail *t, const char *words)
{
    for (size_t i = 0; t->notes && i < t->notes->count; i++)
        if (t->notes->note[i].kind == NR_NOTE_TARGET && strcmp(t->notes->note[i].text, words) == 0)
            return true;
    return false;
}

static void note_target(const nr_tail *t, const char *words)
{
    nr_note note = {.kind = NR_NOTE_TARGET,
                    .utc_s = t->utc_s[t->rows - 1],
                    .elapsed_s = t->time_s[t->rows - 1]};
    nr_copy(note.text, sizeof note.text, words);
    nr_stamp_write(t->folder, &note, NULL);
}

/* Of the collector looked at. */
static bool look_at_one(nr_tail *t, double target_degC)
{
    char words[120];
    if (t->reached[t->build] || !nr_target_reached(t, target_degC))
        return false;
    t->reached[t->build] = true;
    const char *what = t->has_rig && t->file.builds > 1 ? nr_tail_find(t, "store")->name : "store";
    target_words(what, target_degC, words, sizeof words);
    if (is_noted(t, words))
        return false;
    if (t->recording)
        note_target(t, words);
    return true;
}

bool nr_target_look(nr_tail *t, double target_degC, bool *known)
{
    bool ring = false;
    if (isnan(target_degC) || *known)
        return false;
    if (t->target_degC != target_degC)
        memset(t->reached, 0, sizeof t->reached);
    t->target_degC = target_degC;
    size_t builds = t->has_rig ? t->file.builds : 1;
    *known = true;
    for (size_t b = 0; b < builds; b++) {
        if (builds > 1)
            nr_tail_choose(t, b);
        ring = look_at_one(t, target_degC) || ring;
        *known = *known && t->reached[b];
    }
    if (builds > 1)
        nr_tail_choose(t, 0);
    return ring;
}
