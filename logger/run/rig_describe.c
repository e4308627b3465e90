/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/rig_keys.h"

#include <math.h>
#include <string.h>

static const char *unit_of(const nr_rig_key *key)
{
    if (!key->unit)
        return key->kind == NR_KEY_CHOICE || key->kind == NR_KEY_LAW ||
                       key->kind == NR_KEY_INSTRUMENT
                   ? "word"
                   : "text";
    return key->unit[0] ? key->unit : "number";
}

static void heading(nr_rig_section_kind kind, char out[40])
{
    snprintf(out, 40, "[%s%s]", nr_rig_section_name(kind),
             kind == NR_SECTION_CHANNEL ? " NAME" : "");
}

/* Words of a choice, or the believable range, behind the meaning. */
static void limits(const nr_rig_key *key, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    if (key->choice) {
        for (const nr_rig_choice *c = key->choice; c->word && used < size; c++) {
            int more =
                snprintf(out + used, size - used, "%s%s", c == key->choice ? "" : "|", c->word);
            used += more > 0 ? (size_t)more : 0;
        }
    } else if (key->high > key->low && key->high < 1e9)
        snprintf(out, size, "%s%.6g %sto %.6g", key->above ? "above " : "",
                 nr_rig_key_written(key, key->low), key->above ? "up " : "",
                 nr_rig_key_written(key, key->high));
}

static void describe_key(FILE *to, const nr_rig_key *key)
{
    char range[300];
    limits(key, range, sizeof range);
    fprintf(to, "%c %-26s %-10s  %s", key->kind == NR_KEY_QUANTITY ? '*' : ' ', key->name,
            unit_of(key), key->meaning);
    if (range[0])
        fprintf(to, " (%s)", range);
    if (key->fallback)
        fprintf(to, "; default: %s", key->fallback);
    fputc('\n', to);
}

static bool shared(const char *name)
{
    bool uncertainty;
    return nr_rig_key_find(NR_SECTION_CHANNEL, name, &uncertainty) != NULL;
}

static void law_default(const nr_law_key *key, char *out, size_t size)
{
    if (isnan(key->fallback))
        snprintf(out, size, "required");
    else if (isinf(key->fallback))
        snprintf(out, size, "not given");
    else
        snprintf(out, size, "%g", key->fallback);
}

static void describe_law(FILE *to, const nr_law *law)
{
    fprintf(to, "  convert = %-16s %s%s%s\n", law->name, law->summary, law->unit ? " -> " : "",
            law->unit ? law->unit : "");
    for (int i = 0; i < NR_LAW_MAX_KEYS && law->keys[i].name; i++) {
        const nr_law_key *key = &law->keys[i];
        char fallback[40];
        law_default(key, fallback, sizeof fallback);
        if (!shared(key->name))
            fprintf(to, "    %-24s %s (%g to %g); default: %s\n", key->name, key->meaning, key->low,
                    key->high, fallback);
    }
}

void nr_rig_describe(FILE *to)
{
    fputs("rig.ini: sections in [brackets], key = value lines, comments after ; (also behind a\n"
          "value) or # (at the start of a line). The unit is part of the key's name. A key marked\n"
          "* may have a standard uncertainty in a key u_..., in the same unit. Of twins in\n"
          "different units, give one.\n",
          to);
    for (int kind = 0; kind < NR_SECTION_KINDS; kind++) {
        char title[40];
        size_t count;
        const nr_rig_key *key = nr_rig_keys((nr_rig_section_kind)kind, &count);
        heading((nr_rig_section_kind)kind, title);
        fprintf(to, "\n%s  %s\n", title, nr_rig_section_meaning((nr_rig_section_kind)kind));
        for (size_t i = 0; i < count; i++)
            describe_key(to, &key[i]);
    }
    fputs("\nConversions of a channel, and their keys:\n", to);
    for (const nr_law *law = nr_laws; law->name; law++)
        describe_law(to, law);
}

static void describe_row(FILE *to, const char *section, const nr_rig_key *key)
{
    char range[300];
    limits(key, range, sizeof range);
    fprintf(to, "%s\t%s\t%s\t%s\t%s", section, key->name, unit_of(key),
            key->fallback ? key->fallback : "", key->meaning);
    if (range[0])
        fprintf(to, " (%s)", range);
    fputc('\n', to);
}

void nr_rig_describe_table(FILE *to)
{
    for (int kind = 0; kind < NR_SECTION_KINDS; kind++) {
        size_t count;
        const nr_rig_key *key = nr_rig_keys((nr_rig_section_kind)kind, &count);
        for (size_t i = 0; i < count; i++)
            describe_row(to, nr_rig_section_name((nr_rig_section_kind)kind), &key[i]);
    }
    for (const nr_law *law = nr_laws; law->name; law++)
        for (int i = 0; i < NR_LAW_MAX_KEYS && law->keys[i].name; i++) {
            char fallback[40];
            law_default(&law->keys[i], fallback, sizeof fallback);
            if (!shared(law->keys[i].name))
                fprintf(to, "convert = %s\t%s\tnumber\t%s\t%s\n", law->name, law->keys[i].name,
                        fallback, law->keys[i].meaning);
        }
}
