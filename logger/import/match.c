/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/match.h"

#include "logger/base/text.h"
#include "logger/import/role_words.h"
#include "logger/run/meaning.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define NAME_POINTS 100 /* the head is the channel's name */
#define UNIT_POINTS 2   /* only the unit speaks for it */

typedef struct job {
    const nr_table *t;
    const nr_time_plan *plan;
    const nr_rig *rig;
    nr_map map[NR_MAPS];
    size_t maps;
    bool *taken; /* [columns] mapped, left out, or matched */
    nr_match *out;
    nr_import_said *said;
} job;

const char *nr_match_channel_role(const nr_rig_channel *channel)
{
    return channel->role[0] ? channel->role : channel->name;
}

/* --- what the user says ----------------------------------------------------------------------- */

static nr_code unknown_column(const nr_table *t, const char *name, size_t found, nr_err *err)
{
    char shown[100], list[400] = "", head[NR_HEAD];
    nr_clean(shown, sizeof shown, name, strlen(name));
    if (found > 1)
        return nr_fail(err, NR_BAD, t->path, 0,
                       "--map: %zu columns are called \"%s\"; name it by its number, from 1", found,
                       shown);
    for (size_t c = 0; c < t->columns; c++) {
        size_t used = strlen(list);
        nr_table_name(t, c, head, sizeof head);
        snprintf(list + used, sizeof list - used, "%s%s", c > 0 ? ", " : "", head);
    }
    return nr_fail(err, NR_BAD, t->path, 0, "--map: there is no column \"%s\"; there are: %s",
                   shown, list);
}

static int channel_called(const nr_rig *rig, const char *name)
{
    for (size_t i = 0; i < rig->channels; i++)
        if (strcmp(rig->channel[i].name, name) == 0)
            return (int)i;
    return -1;
}

static nr_code unknown_channel(const job *j, const char *name, nr_err *err)
{
    char shown[100], list[400] = "";
    nr_clean(shown, sizeof shown, name, strlen(name));
    for (size_t i = 0; i < j->rig->channels; i++) {
        size_t used = strlen(list);
        snprintf(list + used, sizeof list - used, "%s%s", i > 0 ? ", " : "",
                 j->rig->channel[i].name);
    }
    return nr_fail(err, NR_BAD, j->t->path, 0, "--map: the rig has no channel \"%s\"; it has: %s",
                   shown, list);
}

/* "COLUMN=CHANNEL", "COLUMN=CHANNEL UNIT", "COLUMN=" */
static nr_code read_map(job *j, const char *text, nr_err *err)
{
    char copy[300], folded[NR_FOLDED];
    nr_map *map = &j->map[j->maps];
    char *cut = nr_copy(copy, sizeof copy, text) ? strrchr(copy, '=') : NULL;
    *map = (nr_map){.channel = -1, .unit = {.word = ""}};
    if (!cut || cut == copy)
        return nr_fail(err, NR_BAD, j->t->path, 0,
                       "--map wants COLUMN=CHANNEL, such as \"Tank (F)=store\" or 2=store");
    *cut++ = '\0';
    nr_trim(copy);
    nr_trim(cut);
    size_t found = nr_table_find(j->t, copy, &map->column);
    if (found != 1)
        return unknown_column(j->t, copy, found, err);
    if (cut[0] && strcmp(cut, "-") != 0) {
        size_t length = strcspn(cut, " ");
        char *unit = cut + length + strspn(cut + length, " ");
        cut[length] = '\0';
        map->channel = channel_called(j->rig, cut);
        if (map->channel < 0)
            return unknown_channel(j, cut, err);
        nr_fold(unit, folded, sizeof folded);
        map->unit = nr_unit_of_words(folded);
        if (unit[0] && map->unit.measure == NR_MEASURE_NONE)
            return nr_fail(err, NR_BAD, j->t->path, 0, "--map \"%.80s\": the unit is not known",
                           text);
    }
    for (size_t i = 0; i < j->maps; i++)
        if (j->map[i].column == map->column ||
            (map->channel >= 0 && j->map[i].channel == map->channel))
            return nr_fail(err, NR_BAD, j->t->path, 0,
                           "--map names the same column or channel twice: \"%.80s\"", text);
    j->maps++;
    return NR_OK;
}

/* --- units --------------------------------------------------------------------------------------
 */

/* Can a column of this unit hold the channel's readings, or what its law takes? */
static bool unit_fits(const nr_stated_unit *unit, const nr_rig_channel *channel, bool *by_law)
{
    bool law = strcmp(channel->law->name, "none") != 0;
    *by_law = false;
    switch (unit->measure) {
    case NR_MEASURE_NONE:
        return true;
    case NR_MEASURE_UNIT:
        if (channel->unit->dimension == NR_DIM_NONE ||
            unit->unit->dimension == channel->unit->dimension)
            return true;
        *by_law = law && (unit->unit->dimension == NR_DIM_VOLTAGE ||
                          unit->unit->dimension == NR_DIM_CURRENT);
        return *by_law;
    case NR_MEASURE_RAW:
        *by_law = law;
        return law || channel->unit->dimension == NR_DIM_NONE;
    default:
        return channel->unit->dimension == NR_DIM_NONE;
    }
}

static bool has_law(const nr_rig_channel *channel)
{
    return strcmp(channel->law->name, "none") != 0 && !channel->law->stated;
}

/* --- points -------------------------------------------------------------------------------------
 */

/* "store", "store_degC", "store (F)": the head is the channel's own name. */
static bool is_name(const nr_table_column *column, const nr_rig_channel *channel)
{
    char a[NR_FOLDED], b[NR_FOLDED], c[NR_FOLDED];
    nr_fold(channel->name, a, sizeof a);
    nr_fold(column->name, b, sizeof b);
    nr_fold(column->head, c, sizeof c);
    nr_small(a);
    nr_small(nr_trim(b));
    nr_small(nr_trim(c));
    return a[0] && (strcmp(a, b) == 0 || strcmp(a, c) == 0);
}

/* All words of a name of one's own ("north-tank"): that very one. */
static bool has_all_words(const nr_table_column *column, const nr_rig_channel *channel)
{
    nr_terms own;
    nr_terms_of(channel->name, &own);
    size_t good = 0;
    for (size_t i = 0; i < own.count; i++)
        good += nr_terms_have(&column->terms, own.term[i]);
    return own.count > 0 && good == own.count;
}

/* Words of the channel's name and of the collector it belongs to, its role aside: "Tank A" for
 * [channel store-a], of = A. */
static int own_words(const nr_table_column *column, const nr_rig_channel *channel, const char *role)
{
    nr_terms own;
    char both[2 * NR_NAME + 2];
    int found = 0;
    snprintf(both, sizeof both, "%s %s", channel->name, channel->of);
    nr_terms_of(both, &own);
    for (size_t i = 0; i < own.count; i++) {
        bool before = false;
        for (size_t k = 0; k < i; k++)
            before = before || strcmp(own.term[k], own.term[i]) == 0;
        found +=
            !before && strcmp(own.term[i], role) != 0 && nr_terms_have(&column->terms, own.term[i]);
    }
    return found;
}

static bool any_inlet(const job *j)
{
    const char *word;
    int length;
    for (size_t c = 0; c < j->t->columns; c++)
        if (nr_role_points("inlet", &j->t->column[c].terms, &word, &length) > 0)
            return true;
    return false;
}

static int points(const job *j, size_t c, size_t ch, char why[120])
{
    const nr_table_column *column = &j->t->column[c];
    const nr_rig_channel *channel = &j->rig->channel[ch];
    const char *role = nr_match_channel_role(channel), *word;
    int length;
    bool by_law;
    why[0] = '\0';
    if (channel->law->stated || !unit_fits(&column->unit, channel, &by_law))
        return 0;
    if (is_name(column, channel)) {
        snprintf(why, 120, "its name");
        return NAME_POINTS;
    }
    nr_dimension said = nr_words_dimension(&column->terms);
    if (column->unit.measure == NR_MEASURE_NONE && said != NR_DIM_NONE &&
        said != channel->unit->dimension && channel->unit->dimension != NR_DIM_NONE)
        return 0;
    int p = nr_role_points(role, &column->terms, &word, &length);
    if (p < 0)
        return 0;
    if (p > 0) {
        snprintf(why, 120, "\"%.*s\"", length, word);
        p *= 4;
    }
    /* "Temp Out" of a weather station is the air: an outlet has an inlet beside it. */
    if (p > 0 && strcmp(role, "outlet") == 0 && length == 3 && strncmp(word, "out", 3) == 0 &&
        !any_inlet(j))
        p = 4;
    if (has_all_words(column, channel)) {
        p += 30;
        snprintf(why, 120, "the words of its name");
    }
    if (p > 0)
        p += 6 * own_words(column, channel, role);
    bool same = column->unit.measure == NR_MEASURE_UNIT &&
                column->unit.unit->dimension == channel->unit->dimension;
    if (p > 0 && same)
        p += 1;
    if (p > 0 && column->unit.unit == channel->unit)
        p += 1;
    /* Of plane: a horizontal sensor's column is called so. */
    bool horizontal = nr_terms_any(&column->terms, "ghi horizontal global") != NULL;
    bool inclined = nr_terms_any(&column->terms, "poa gti tilted inclined plane tilt") != NULL;
    if (p > 0 && strcmp(role, "sun") == 0)
        p += channel->plane == NR_PLANE_HORIZONTAL ? 2 * horizontal - 2 * inclined
                                                   : 2 * inclined - 2 * horizontal;
    return p;
}

/* --- the best pairs, best first
 * ------------------------------------------------------------------- */

static nr_code two_as_good(const job *j, size_t ch, size_t a, size_t b, nr_err *err)
{
    char x[NR_HEAD], y[NR_HEAD];
    const char *name = j->rig->channel[ch].name;
    nr_table_name(j->t, a, x, sizeof x);
    nr_table_name(j->t, b, y, sizeof y);
    if (strcmp(x, y) == 0) {
        snprintf(x, sizeof x, "%zu", a + 1);
        snprintf(y, sizeof y, "%zu", b + 1);
    }
    return nr_fail(err, NR_BAD, j->t->path, 0,
                   "two columns can be the channel %s: \"%s\" and \"%s\"; say which: --map "
                   "\"%s=%s\" or --map \"%s=%s\"",
                   name, x, y, x, name, y, name);
}

static nr_code two_channels(const job *j, size_t c, size_t a, size_t b, nr_err *err)
{
    char x[NR_HEAD];
    const char *p = j->rig->channel[a].name, *q = j->rig->channel[b].name;
    nr_table_name(j->t, c, x, sizeof x);
    return nr_fail(err, NR_BAD, j->t->path, 0,
                   "the column \"%s\" can be the channel %s or %s; say which: --map \"%s=%s\" or "
                   "--map \"%s=%s\" (--map \"%s=\" leaves it out)",
                   x, p, q, x, p, x, q, x);
}

static double canonical(const nr_table_column *column, const nr_rig_channel *channel, double v)
{
    const nr_unit *unit =
        column->unit.measure == NR_MEASURE_UNIT ? column->unit.unit : channel->unit;
    return nr_unit_to_canonical(unit, v);
}

/* The same quantity in two units, or twice: rows agree within rounding. */
static bool same_readings(const job *j, size_t a, size_t b, const nr_rig_channel *channel)
{
    size_t both = 0;
    for (size_t r = 0; r < j->t->rows; r++) {
        double x, y;
        if (!nr_table_number(j->t, r, a, &x) || !nr_table_number(j->t, r, b, &y))
            continue;
        both++;
        if (fabs(canonical(&j->t->column[a], channel, x) -
                 canonical(&j->t->column[b], channel, y)) > 0.6)
            return false;
    }
    return both > 1 && j->t->column[a].unit.unit != j->t->column[b].unit.unit;
}

static void take(job *j, size_t ch, size_t c, const char *why)
{
    nr_matched *m = &j->out->of[ch];
    m->column = c;
    m->unit = j->t->column[c].unit;
    nr_copy(m->why, sizeof m->why, why);
    unit_fits(&m->unit, &j->rig->channel[ch], &m->by_law);
    j->taken[c] = true;
}

typedef struct best {
    int points;
    size_t c, ch;
    char why[120];
} best;

static bool is_open(const job *j, size_t ch)
{
    return j->out->of[ch].column == NR_NO_COLUMN;
}

static best find_best(const job *j)
{
    best b = {0};
    char why[120];
    for (size_t ch = 0; ch < j->rig->channels; ch++)
        for (size_t c = 0; is_open(j, ch) && c < j->t->columns; c++) {
            int p = j->taken[c] ? 0 : points(j, c, ch, why);
            if (p <= b.points)
                continue;
            b = (best){.points = p, .c = c, .ch = ch};
            nr_copy(b.why, sizeof b.why, why);
        }
    return b;
}

/* Another column that is as good for the channel, or another channel for the column. */
static nr_code check_rivals(job *j, best *b, nr_err *err)
{
    char why[120];
    for (size_t c = 0; c < j->t->columns; c++) {
        if (c == b->c || j->taken[c] || points(j, c, b->ch, why) < b->points - 1)
            continue;
        int p = points(j, c, b->ch, why);
        const nr_rig_channel *channel = &j->rig->channel[b->ch];
        if (same_readings(j, b->c, c, channel)) {
            char name[NR_HEAD];
            size_t other = c;
            if (c < b->c && p == b->points) {
                other = b->c;
                b->c = c;
            }
            nr_table_name(j->t, other, name, sizeof name);
            nr_import_say(j->said,
                          "\"%s\" is the same as column %zu in another unit and is left out", name,
                          b->c + 1);
            j->taken[other] = true;
        } else if (p == b->points) {
            return two_as_good(j, b->ch, b->c, c, err);
        }
    }
    for (size_t ch = 0; ch < j->rig->channels; ch++)
        if (ch != b->ch && is_open(j, ch) && points(j, b->c, ch, why) == b->points)
            return two_channels(j, b->c, b->ch, ch, err);
    return NR_OK;
}

static nr_code match_words(job *j, nr_err *err)
{
    for (;;) {
        best b = find_best(j);
        if (b.points <= 0)
            return NR_OK;
        nr_code code = check_rivals(j, &b, err);
        if (code != NR_OK)
            return code;
        take(j, b.ch, b.c, b.why);
    }
}

/* --- supply and return: the warmer of both comes from the collector
 * ------------------------------- */

static double mean_of(const job *j, size_t c)
{
    double sum = 0, v;
    size_t n = 0;
    for (size_t r = 0; r < j->t->rows; r++)
        if (nr_table_number(j->t, r, c, &v) && fabs(v) < 500) {
            sum += v;
            n++;
        }
    return n > 0 ? sum / (double)n : NAN;
}

static int channel_of_role(const job *j, const char *role)
{
    int found = -1;
    for (size_t ch = 0; ch < j->rig->channels; ch++)
        if (strcmp(nr_match_channel_role(&j->rig->channel[ch]), role) == 0 && is_open(j, ch))
            found = found == -1 ? (int)ch : -2;
    return found < 0 ? -1 : found;
}

static void match_supply(job *j)
{
    size_t of[2] = {NR_NO_COLUMN, NR_NO_COLUMN}; /* supply, return */
    int inlet = channel_of_role(j, "inlet"), outlet = channel_of_role(j, "outlet");
    for (size_t c = 0; c < j->t->columns; c++) {
        const nr_table_column *column = &j->t->column[c];
        int side = j->taken[c] ? 0 : nr_words_supply(&column->terms);
        bool temperature =
            column->unit.measure == NR_MEASURE_NONE ||
            (column->unit.unit && column->unit.unit->dimension == NR_DIM_TEMPERATURE);
        if (side != 0 && temperature)
            of[side < 0] = c;
    }
    if (inlet < 0 || outlet < 0 || of[0] == NR_NO_COLUMN || of[1] == NR_NO_COLUMN)
        return;
    double supply = mean_of(j, of[0]), back = mean_of(j, of[1]);
    if (!(fabs(supply - back) > 0.3))
        return; /* left to be asked */
    size_t warm = supply > back ? 0 : 1;
    take(j, (size_t)outlet, of[warm], "supply and return: the warmer one comes from the collector");
    take(j, (size_t)inlet, of[!warm], "supply and return: the cooler one goes to the collector");
}

/* --- by the unit alone
 * ---------------------------------------------------------------------------- */

/* Its words make it something else that a channel can be: global irradiance is nobody's diffuse. */
static bool is_another(const nr_table_column *column, const char *role)
{
    const char *said = nr_match_role(column);
    return said && nr_meaning_find(role) && strcmp(said, role) != 0;
}

static bool plain_candidate(const job *j, size_t c, size_t ch)
{
    const nr_table_column *column = &j->t->column[c];
    const nr_rig_channel *channel = &j->rig->channel[ch];
    const char *word;
    int length;
    bool by_law, temperature = channel->unit->dimension == NR_DIM_TEMPERATURE;
    if (j->taken[c] || !is_open(j, ch) || channel->law->stated || column->numbers == 0 ||
        !unit_fits(&column->unit, channel, &by_law))
        return false;
    const char *role = nr_match_channel_role(channel);
    if (nr_role_points(role, &column->terms, &word, &length) < 0 || is_another(column, role))
        return false;
    if (column->unit.measure == NR_MEASURE_UNIT)
        return column->unit.unit->dimension == channel->unit->dimension &&
               (!temperature || nr_words_are_plain(&column->terms));
    return temperature && column->unit.measure == NR_MEASURE_NONE &&
           nr_words_dimension(&column->terms) == NR_DIM_TEMPERATURE &&
           nr_words_are_plain(&column->terms);
}

/* The only column of its kind and the only channel of its kind. */
static nr_code match_units(job *j, nr_err *err)
{
    for (size_t ch = 0; ch < j->rig->channels; ch++) {
        size_t columns = 0, channels = 0, first = 0, second = 0;
        for (size_t c = 0; c < j->t->columns; c++)
            if (plain_candidate(j, c, ch)) {
                second = columns == 1 ? c : second;
                first = columns == 0 ? c : first;
                columns++;
            }
        if (columns == 0)
            continue;
        size_t rival = ch;
        for (size_t other = 0; other < j->rig->channels; other++)
            if (plain_candidate(j, first, other)) {
                channels++;
                rival = other != ch ? other : rival;
            }
        if (columns == 1 && channels == 1)
            take(j, ch, first, "the only column of this kind that is left");
        else if (columns == 1)
            return two_channels(j, first, ch, rival, err);
        else
            return two_as_good(j, ch, first, second, err);
    }
    return NR_OK;
}

/* One channel, one column of numbers: nothing to mix up. */
static void match_the_only(job *j)
{
    size_t columns = 0, last = 0;
    bool by_law;
    if (j->rig->channels != 1 || !is_open(j, 0))
        return;
    for (size_t c = 0; c < j->t->columns; c++)
        if (!j->taken[c] && j->t->column[c].numbers > 0) {
            columns++;
            last = c;
        }
    if (columns == 1 && unit_fits(&j->t->column[last].unit, &j->rig->channel[0], &by_law))
        take(j, 0, last, "the only column for the only channel");
}

static nr_code apply_maps(job *j, nr_err *err)
{
    for (size_t i = 0; i < j->maps; i++) {
        const nr_map *map = &j->map[i];
        j->taken[map->column] = true;
        if (map->channel < 0)
            continue;
        const nr_rig_channel *channel = &j->rig->channel[map->channel];
        nr_matched *m = &j->out->of[map->channel];
        m->column = map->column;
        m->unit = map->unit.measure ? map->unit : j->t->column[map->column].unit;
        nr_copy(m->why, sizeof m->why, "--map");
        if (!unit_fits(&m->unit, channel, &m->by_law))
            return nr_fail(err, NR_BAD, j->t->path, 0,
                           "--map: column %zu is in %s, but the channel %s is in %s (a unit may "
                           "follow: --map \"%zu=%s %s\")",
                           map->column + 1, m->unit.word, channel->name, channel->unit->name,
                           map->column + 1, channel->name, channel->unit->name);
    }
    return NR_OK;
}

static nr_code none_matched(const job *j, nr_err *err)
{
    char list[400] = "", name[NR_HEAD];
    for (size_t c = 0; c < j->t->columns; c++) {
        size_t used = strlen(list);
        if (nr_time_has(j->plan, c))
            continue;
        nr_table_name(j->t, c, name, sizeof name);
        snprintf(list + used, sizeof list - used, "%s%s", used ? ", " : "", name);
    }
    return nr_fail(err, NR_BAD, j->t->path, 0,
                   "no column can be told to be one of the rig's channels; the columns are: %s. "
                   "Say it: --map \"COLUMN=%s\" (a column also by its number, from 1)",
                   list, j->rig->channels > 0 ? j->rig->channel[0].name : "store");
}

static nr_code match(job *j, nr_err *err)
{
    nr_code code = apply_maps(j, err);
    if (code == NR_OK)
        code = match_words(j, err);
    if (code != NR_OK)
        return code;
    match_supply(j);
    if (j->t->headed || j->maps == 0)
        code = match_units(j, err);
    if (code != NR_OK)
        return code;
    match_the_only(j);
    size_t matched = 0;
    for (size_t ch = 0; ch < j->rig->channels; ch++) {
        const nr_rig_channel *channel = &j->rig->channel[ch];
        const nr_matched *m = &j->out->of[ch];
        if (m->column != NR_NO_COLUMN && has_law(channel) && !m->by_law)
            nr_import_say(j->said,
                          "channel %s: its `convert` is passed over, as the table has its unit "
                          "already",
                          channel->name);
        if (m->column != NR_NO_COLUMN)
            matched++;
    }
    return matched > 0 ? NR_OK : none_matched(j, err);
}

nr_code nr_match_columns(const nr_table *table, const nr_time_plan *plan, const nr_rig *rig,
                         const char *const *maps, size_t map_count, nr_match *out,
                         nr_import_said *said, nr_err *err)
{
    job j = {.t = table, .plan = plan, .rig = rig, .out = out, .said = said};
    nr_code code = NR_OK;
    for (size_t i = 0; i < NR_RIG_CHANNELS; i++)
        out->of[i] = (nr_matched){.column = NR_NO_COLUMN, .unit = {.word = ""}};
    if (map_count > NR_MAPS)
        return nr_fail(err, NR_BAD, table->path, 0, "--map: at most %d", NR_MAPS);
    j.taken = calloc(table->columns, sizeof *j.taken);
    if (!j.taken)
        return nr_fail(err, NR_BAD, table->path, 0, "not enough memory");
    for (size_t c = 0; c < table->columns; c++)
        j.taken[c] = nr_time_has(plan, c);
    for (size_t i = 0; i < map_count && code == NR_OK; i++)
        code = read_map(&j, maps[i], err);
    if (code == NR_OK)
        code = match(&j, err);
    free(j.taken);
    return code;
}

const char *nr_match_role(const nr_table_column *column)
{
    const char *role = NULL, *word;
    int most = 0, length;
    nr_dimension dimension = column->unit.measure == NR_MEASURE_UNIT
                                 ? column->unit.unit->dimension
                                 : nr_words_dimension(&column->terms);
    const nr_meaning *meaning;
    for (size_t i = 0; (meaning = nr_meaning_at(i)) != NULL; i++) {
        int p = nr_role_points(meaning->channel, &column->terms, &word, &length);
        bool fits = dimension == NR_DIM_NONE || nr_meaning_accepts(meaning, dimension);
        if (fits && p > most) {
            most = p;
            role = meaning->channel;
        }
    }
    return role;
}
