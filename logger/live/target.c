/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/live/target.h"

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

static void target_words(double target_degC, char *out, size_t size)
{
    snprintf(out, size, "store has reached %.1f degC (%.1f degF)", target_degC,
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

bool nr_target_look(const nr_tail *t, double target_degC, bool *known)
{
    char words[120];
    if (isnan(target_degC) || *known || !nr_target_reached(t, target_degC))
        return false;
    *known = true;
    target_words(target_degC, words, sizeof words);
    if (is_noted(t, words))
        return false;
    if (t->recording)
        note_target(t, words);
    return true;
}
