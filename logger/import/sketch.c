/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/sketch.h"

#include "logger/base/text.h"
#include "logger/import/owners.h"
#include "logger/run/meaning.h"
#include "logger/run/unstated.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define NAME_LENGTH 24

static bool taken(const nr_sketch *s, const char *name)
{
    for (size_t i = 0; i < s->channels; i++)
        if (strcmp(strchr(s->map[i], '=') + 1, name) == 0)
            return true;
    return false;
}

/* Letters, figures and '-' of the head, behind a letter. */
static void own_name(const nr_table_column *column, size_t index, char out[NR_NAME])
{
    size_t n = 0;
    for (size_t i = 0; i < column->terms.count && n + 1 < NAME_LENGTH; i++)
        n += (size_t)snprintf(out + n, NAME_LENGTH - n, "%s%s", n > 0 ? "-" : "",
                              column->terms.term[i]);
    out[n < NAME_LENGTH ? n : NAME_LENGTH - 1] = '\0';
    if (!isalpha((unsigned char)out[0]))
        snprintf(out, NR_NAME, "column-%zu", index + 1);
}

/* Does the column hold readings a rig could have? */
static bool is_reading(const nr_imported *im, size_t c)
{
    const nr_table_column *column = &im->table.column[c];
    bool unit = column->unit.measure == NR_MEASURE_UNIT || column->unit.measure == NR_MEASURE_RAW;
    return !nr_time_has(&im->plan, c) && column->numbers > 0 &&
           column->unit.measure != NR_MEASURE_OTHER &&
           (unit || nr_match_role(column) != NULL || !im->table.headed);
}

static const char *unit_name(const nr_table_column *column, const char *role)
{
    if (column->unit.measure == NR_MEASURE_UNIT)
        return column->unit.unit->name;
    const nr_meaning *meaning = role ? nr_meaning_find(role) : NULL;
    return meaning ? nr_unit_canonical(meaning->dimension[0])->name : "raw";
}

/* What a column becomes: the channel's name, its role (NULL: to be told), whose it is (from 1). */
typedef struct named {
    char name[NR_NAME];
    const char *role;
    size_t of;
} named;

static named name_channel(const nr_imported *im, size_t c, const nr_sketch *s,
                          const nr_owners *owners)
{
    const nr_table_column *column = &im->table.column[c];
    named n = {.role = nr_match_role(column)};
    const nr_meaning *meaning = n.role ? nr_meaning_find(n.role) : NULL;
    n.of = nr_owners_of(owners, column, n.role);
    if (n.of > 0)
        snprintf(n.name, sizeof n.name, "%.8s_%.22s", n.role, owners->build[n.of - 1]);
    else if (meaning && !(meaning->own && owners->builds > 0))
        nr_copy(n.name, sizeof n.name, n.role);
    if (n.name[0] && !taken(s, n.name))
        return n;
    n.role = NULL;
    n.of = 0;
    own_name(column, c, n.name);
    if (taken(s, n.name) || nr_meaning_find(n.name))
        snprintf(n.name, sizeof n.name, "column-%zu", c + 1);
    return n;
}

static void write_channel(FILE *to, const nr_imported *im, size_t c, const nr_owners *owners,
                          nr_sketch *s)
{
    const nr_table_column *column = &im->table.column[c];
    named n = name_channel(im, c, s, owners);
    char head[NR_HEAD];
    nr_table_name(&im->table, c, head, sizeof head);
    fprintf(to, "\n[channel %s]  ; column %zu of the table: %s\n", n.name, c + 1, head);
    if (n.of > 0)
        fprintf(to, "role = %s\nof = %s\n", n.role, owners->build[n.of - 1]);
    fprintf(to, "unit = %s%s\n", unit_name(column, n.role),
            column->unit.measure == NR_MEASURE_UNIT
                ? ""
                : "  ; the table names no unit: is it this one? (degF, degC, W_m2 ...)");
    if (!n.role)
        fputs(
            ";role =          ; what it is: store, air, inlet, outlet, box, sun, flow, wind ...\n",
            to);
    if (!n.role && owners->builds > 0)
        fputs(";of =            ; NAME of the collector it belongs to; none: shared by all\n", to);
    if (n.role && strcmp(n.role, "sun") == 0)
        fputs(";plane =         ; collector, or horizontal (a weather station's)\n", to);
    fputs(";kind =          ; what instrument it was: `noonlog keys` lists them\n", to);
    snprintf(s->map[s->channels], sizeof s->map[0], "%zu=%s", c + 1, n.name);
    s->maps[s->channels] = s->map[s->channels];
    s->channels++;
    s->known += n.role != NULL;
}

static bool in_us_units(const nr_imported *im)
{
    for (size_t c = 0; c < im->table.columns; c++)
        if (im->table.column[c].unit.unit &&
            strcmp(im->table.column[c].unit.unit->name, "degF") == 0)
            return true;
    return false;
}

static void write_head(FILE *to, const char *table, const nr_owners *owners, bool us)
{
    char clean[200];
    nr_clean(clean, sizeof clean, table, strlen(table));
    fprintf(to,
            "; Drafted from the table %s. Lines that begin with ; are comments: take the ; away\n"
            "; and fill in. `noonlog keys` explains every key.\n\n"
            "[test]\n;title =\n%s"
            "\n[site]          ; where it stood, from any map: for the sun's angle\n"
            ";latitude_deg =  ; north is positive\n;longitude_deg = ; east is positive\n\n",
            clean, us ? "units = us\n" : "");
    for (size_t i = 0; i < owners->builds; i++) {
        nr_owners_write(to, owners->build[i], us);
        fputs(i + 1 < owners->builds ? "\n" : "", to);
    }
    if (owners->builds == 0)
        nr_owners_write(to, NULL, us);
}

/* What no column tells, and a person knows. */
static void write_missing(FILE *to, const nr_sketch *s)
{
    nr_unstated open[NR_UNSTATEDS];
    size_t count = nr_rig_unstated(NULL, open);
    if (!taken(s, "sun"))
        fputs("\n; No column is the sun on the collector. Where nothing measured it, state it: 850 "
              "W/m2,\n"
              "; give or take 80, is a clear sky around noon.\n"
              ";[channel sun]\n;unit = W_m2\n;convert = stated\n;value = 850\n;u_value = 80\n",
              to);
    if (!taken(s, "air"))
        fputs("\n; No column is known to be the air. Give one of them role = air, or state it:\n"
              ";[channel air]\n;unit = degC\n;convert = stated\n;value =\n;u_value = 2\n",
              to);
    fputs("\n; What no test can see, and what makes an answer wider while it is not known:\n", to);
    for (size_t k = 0; k < count; k++)
        fprintf(to, ";   %s\n;     %s\n", nr_unstated_question(open[k]),
                nr_unstated_answer(open[k]));
}

static nr_code find_owners(const nr_imported *im, nr_owners *out)
{
    const char **role = calloc(im->table.columns + 1, sizeof *role);
    if (!role)
        return NR_BAD;
    for (size_t c = 0; c < im->table.columns; c++)
        role[c] = is_reading(im, c) ? nr_match_role(&im->table.column[c]) : NULL;
    nr_owners_find(im->table.column, role, im->table.columns, out);
    free(role);
    return NR_OK;
}

nr_code nr_sketch_rig(const nr_imported *im, const char *table, nr_sketch *out, nr_err *err)
{
    nr_owners owners;
    memset(out, 0, sizeof *out);
    FILE *to = find_owners(im, &owners) == NR_OK ? open_memstream(&out->text, &out->length) : NULL;
    if (!to)
        return nr_fail(err, NR_BAD, table, 0, "not enough memory");
    write_head(to, table, &owners, in_us_units(im));
    for (size_t c = 0; c < im->table.columns; c++)
        if (is_reading(im, c) && out->channels < NR_RIG_CHANNELS)
            write_channel(to, im, c, &owners, out);
    write_missing(to, out);
    bool bad = ferror(to) != 0;
    if (fclose(to) != 0 || bad)
        return nr_fail(err, NR_BAD, table, 0, "not enough memory");
    if (out->channels == 0)
        return nr_fail(err, NR_CANNOT, table, 0,
                       "no column holds readings of a heater: none is named or has a unit that "
                       "tells (temperature, irradiance, flow, wind)");
    return NR_OK;
}
