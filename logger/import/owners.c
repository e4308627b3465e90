/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/owners.h"

#include "logger/import/role_words.h"
#include "logger/run/meaning.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

bool nr_owner_is_place(const char *word)
{
    static const char *const places[] = {
        "top", "bottom", "upper", "lower", "middle", "mid",  "high", "low", "hot", "cold",
        "in",  "out",    "raw",   "degC",  "degF",   "rate", "mean", "min", "max", "set"};
    for (size_t i = 0; i < sizeof places / sizeof places[0]; i++)
        if (strcasecmp(word, places[i]) == 0)
            return true;
    return false;
}

static bool is_number(const char *word)
{
    return word[strspn(word, "0123456789")] == '\0';
}

/* Says what the column is, or nothing at all ("probe", "temp", the letter of a unit). */
static bool says_what(const char *word, const char *role)
{
    nr_terms one = {.count = 1};
    const char *found;
    int length;
    snprintf(one.term[0], sizeof one.term[0], "%s", word);
    if (is_number(word))
        return false;
    if (word[1] == '\0')
        return strchr("tcfk", word[0]) != NULL;
    return nr_role_points(role, &one, &found, &length) > 0 || nr_words_are_plain(&one) ||
           nr_words_dimension(&one) != NR_DIM_NONE;
}

/* What is left of a head without the words for what it is: "left"; "" where nothing is, or a place.
 */
static void whose(const nr_table_column *column, const char *role, char out[NR_NAME])
{
    size_t n = 0;
    bool place = false;
    out[0] = '\0';
    for (size_t i = 0; i < column->terms.count && n + 1 < NR_SECTION_NAME; i++) {
        const char *word = column->terms.term[i];
        if (says_what(word, role))
            continue;
        place = place || nr_owner_is_place(word);
        n += (size_t)snprintf(out + n, NR_SECTION_NAME - n, "%s%s",
                              n > 0                             ? "-"
                              : isalpha((unsigned char)word[0]) ? ""
                                                                : "build-",
                              word);
        n = n < NR_SECTION_NAME ? n : NR_SECTION_NAME - 1; /* cut short */
    }
    if (place)
        out[0] = '\0';
}

static bool is_own(const char *role)
{
    const nr_meaning *meaning = role ? nr_meaning_find(role) : NULL;
    return meaning && meaning->own;
}

static size_t build_called(const nr_owners *o, const char *name)
{
    for (size_t i = 0; name[0] && i < o->builds; i++)
        if (strcmp(o->build[i], name) == 0)
            return i + 1;
    return 0;
}

size_t nr_owners_of(const nr_owners *owners, const nr_table_column *column, const char *role)
{
    char name[NR_NAME];
    if (!role)
        return 0;
    whose(column, role, name);
    return build_called(owners, name);
}

void nr_owners_find(const nr_table_column *column, const char *const *role, size_t columns,
                    nr_owners *o)
{
    char name[NR_NAME];
    bool numbered = false, nobodys = false;
    *o = (nr_owners){.builds = 0};
    for (size_t c = 0; c < columns; c++) {
        if (!role[c] || strcmp(role[c], "store") != 0)
            continue;
        whose(&column[c], role[c], name);
        /* One that is nobody's may feed from all: then nothing is told apart. */
        if (!name[0] || build_called(o, name) || o->builds == NR_RIG_BUILDS) {
            o->builds = 0;
            return;
        }
        numbered = numbered || strncmp(name, "build-", 6) == 0;
        snprintf(o->build[o->builds++], NR_NAME, "%s", name);
    }
    for (size_t c = 0; c < columns; c++)
        nobodys = nobodys || (is_own(role[c]) && nr_owners_of(o, &column[c], role[c]) == 0);
    if (o->builds < 2 || (numbered && nobodys))
        o->builds = 0;
}

void nr_owners_write(FILE *to, const char *name, bool us)
{
    fprintf(to, name ? "[collector %s]\n" : "[collector]\n;name =\n", name);
    fprintf(to,
            ";%s =    ; outer length times outer width; noonfit needs it\n"
            ";tilt_deg =          ; 0 lies flat, 90 stands upright\n"
            ";azimuth_deg =       ; the way it faces, clockwise from north: 180 is south\n"
            ";glazing =           ; none, single or double\n\n",
            us ? "gross_area_ft2" : "gross_area_m2");
    fprintf(to, name ? "[store %s]\n" : "[store]\n", name);
    fprintf(to, ";%s =         ; water in the container; noonfit needs it\n",
            us ? "water_gal" : "water_L");
}
