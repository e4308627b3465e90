/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/zone_told.h"

#include "logger/base/text.h"
#include "logger/import/fold.h"
#include "logger/import/moment_pieces.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

/* "utc", "gmt-07:00" as words of their own in folded small text. False: none, or an offset that is
 * spoken of ("utc offset"), not given. */
static bool offset_in(const char *small, double *offset_s)
{
    for (const char *p = small; *p; p++) {
        bool begins = p == small || !isalnum((unsigned char)p[-1]);
        if (!begins || (strncmp(p, "utc", 3) != 0 && strncmp(p, "gmt", 3) != 0))
            continue;
        nr_moment m = {0};
        const char *end = nr_moment_zone(p, &m);
        const char *rest = end + strspn(end, " )],;");
        if (m.has_offset && !isalnum((unsigned char)*end) && strncmp(rest, "offset", 6) != 0 &&
            strncmp(rest, "difference", 10) != 0 && *rest != '+' && *rest != '-') {
            *offset_s = m.offset_s;
            return true;
        }
    }
    return false;
}

/* A name of the system's zones, such as Europe/Paris, among the words of a line. */
static bool name_in(const char *line, char out[NR_ZONE])
{
    char copy[400];
    nr_copy(copy, sizeof copy, line);
    char *rest = copy;
    for (char *word; (word = strsep(&rest, " ,;:=()[]\t\"")) != NULL;) {
        nr_zone zone;
        if (strchr(word, '/') && isalpha((unsigned char)word[0]) &&
            nr_zone_find(word, &zone, NULL) == NR_OK && nr_copy(out, NR_ZONE, word))
            return true;
    }
    return false;
}

static void put_offset(double offset_s, char out[NR_ZONE])
{
    int minutes = (int)((offset_s < 0 ? -offset_s : offset_s) / 60);
    if (minutes == 0)
        nr_copy(out, NR_ZONE, "UTC");
    else
        snprintf(out, NR_ZONE, "UTC%c%02d:%02d", offset_s < 0 ? '-' : '+', minutes / 60,
                 minutes % 60);
}

static bool told_in(const char *line, char out[NR_ZONE])
{
    char folded[NR_FOLDED];
    double offset_s;
    nr_fold(line, folded, sizeof folded);
    nr_small(folded);
    if (offset_in(folded, &offset_s)) {
        put_offset(offset_s, out);
        return true;
    }
    return name_in(line, out);
}

/* Lines above the head count only where they speak of time. */
static bool speaks_of_zone(const char *line)
{
    char folded[NR_FOLDED];
    nr_terms terms;
    nr_fold(line, folded, sizeof folded);
    nr_terms_of(folded, &terms);
    return nr_terms_any(&terms, "time times timezone zone tz zeit zeiten zeitzone uhrzeit heure "
                                "heures fuseau hora horas huso zona ora ore fuso tijd tijden "
                                "tijdzone clock") != NULL;
}

void nr_zone_told(const nr_table *t, const nr_time_plan *plan, char out[NR_ZONE])
{
    size_t found = 0;
    char one[NR_ZONE];
    out[0] = '\0';
    for (size_t i = 0; i < plan->columns; i++)
        if (told_in(t->column[plan->column[i]].head, one)) {
            found += found == 0 || strcmp(one, out) != 0;
            nr_copy(out, NR_ZONE, one);
        }
    bool by_head = found > 0;
    for (size_t r = 0; !by_head && r < t->before && r < t->grid.rows; r++) {
        char line[400] = "";
        for (size_t c = 0; c < t->grid.row[r].count && strlen(line) < 300; c++)
            snprintf(line + strlen(line), sizeof line - strlen(line), "%s%.80s", c ? " " : "",
                     nr_cells_at(&t->grid, r, c));
        if (speaks_of_zone(line) && told_in(line, one)) {
            found += found == 0 || strcmp(one, out) != 0;
            nr_copy(out, NR_ZONE, one);
        }
    }
    if (found != 1)
        out[0] = '\0';
}
