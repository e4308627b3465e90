/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/folder.h"
#include "logger/base/text.h"
#include "logger/base/utc.h"
#include "logger/run/file.h"
#include "logger/run/meaning.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static nr_code check_folder(const char *folder, nr_err *err)
{
    struct stat about;
    if (stat(folder, &about) != 0)
        return nr_fail_errno(err, NR_BAD, folder, errno, "cannot be opened as a run folder");
    if (!S_ISDIR(about.st_mode))
        return nr_fail(err, NR_BAD, folder, 0,
                       "is a file; a run is a folder with %s and %s in it (name the folder)",
                       NR_RIG_FILE, NR_READINGS_FILE);
    return NR_OK;
}

/* What is wrong in a line of readings.csv can be mended where the adapter's own lines are kept. */
static void point_to_rebuild(const char *folder, nr_err *err)
{
    char path[NR_ERR_FILE];
    struct stat about;
    size_t used = err ? strlen(err->text) : 0;
    if (!err || err->line < 2 || nr_path_in(folder, NR_ADAPTER_LOG_FILE, path, NULL) != NR_OK ||
        stat(path, &about) != 0 || !S_ISREG(about.st_mode))
        return;
    snprintf(err->text + used, sizeof err->text - used,
             "; `noonlog rebuild %s` makes the file anew from " NR_ADAPTER_LOG_FILE, folder);
}

/* What the rig file states instead of measuring is a reading of every row. */
static nr_code add_stated(nr_run *run, nr_err *err)
{
    for (size_t c = 0; c < run->rig.channels; c++) {
        const nr_rig_channel *channel = &run->rig.channel[c];
        nr_readings *r = run->readings;
        if (!channel->law->stated || nr_readings_column(r, channel->column))
            continue;
        nr_code code =
            nr_readings_add_column(r, channel->column, nr_rig_column_unit(channel)->name, err);
        if (code != NR_OK)
            return code;
        double value =
            nr_unit_to_canonical(channel->unit, channel->coefficient[0]) + channel->correct_offset;
        code = nr_readings_fill(r, &r->column[r->columns - 1], value, err);
        if (code != NR_OK)
            return code;
    }
    return NR_OK;
}

static nr_code read_readings(nr_run *run, const char *path, nr_err *err)
{
    nr_code code = nr_readings_read(path, &run->readings, err);
    if (code == NR_BAD)
        point_to_rebuild(run->folder, err);
    return code == NR_OK ? add_stated(run, err) : code;
}

/* --- a page ----------------------------------------------------------------------------------- */

/* "PAGE.html#2" -> the page's path and 2; without '#', 1. False: no page's name. */
static bool page_name(const char *name, char path[NR_ERR_FILE], long *run)
{
    struct stat about;
    *run = 1;
    if (!nr_copy(path, NR_ERR_FILE, name))
        return false;
    if (!nr_packed_is_page(path)) {
        char *hash = strrchr(path, '#');
        if (!hash || !nr_parse_long(hash + 1, 1, NR_PACKED_RUNS, run))
            return false;
        *hash = '\0';
    }
    return nr_packed_is_page(path) && stat(path, &about) == 0 && S_ISREG(about.st_mode);
}

size_t nr_run_count(const char *name, bool *page)
{
    char path[NR_ERR_FILE];
    long number;
    nr_packed *packed;
    *page = page_name(name, path, &number);
    if (!*page || strcmp(path, name) != 0 || nr_packed_read(path, &packed, NULL) != NR_OK)
        return 1;
    size_t runs = packed->runs;
    nr_packed_free(packed);
    return runs;
}

static nr_code parse_parts(nr_run *run, const char *page, const nr_sink *problems, nr_err *err)
{
    char path[NR_ERR_FILE];
    unsigned n = run->packed_run;
    const nr_packed_file *rig = nr_packed_find(run->packed, n, NR_RIG_FILE);
    const nr_packed_file *readings = nr_packed_find(run->packed, n, NR_READINGS_FILE);
    const nr_packed_file *notes = nr_packed_find(run->packed, n, NR_NOTES_FILE);
    if (!rig || !readings)
        return nr_fail(err, NR_BAD, page, 0, "has %u runs, no run %u", run->packed->runs, n);
    nr_code code = nr_path_in(run->folder, NR_RIG_FILE, path, err);
    if (code == NR_OK)
        code = nr_rig_parse(rig->bytes, rig->length, path, NR_RIG_FOR_ANALYSIS, &run->rig, problems,
                            err);
    if (code == NR_OK)
        code = nr_path_in(run->folder, NR_READINGS_FILE, path, err);
    if (code == NR_OK)
        code = nr_readings_parse(readings->bytes, readings->length, path, &run->readings, err);
    if (code == NR_OK)
        code = add_stated(run, err);
    if (code == NR_OK)
        code = nr_path_in(run->folder, NR_NOTES_FILE, path, err);
    if (code == NR_OK)
        code =
            nr_notes_parse(notes ? notes->bytes : NR_NOTES_HEADER,
                           notes ? notes->length : strlen(NR_NOTES_HEADER), path, &run->notes, err);
    return code;
}

static nr_code slurp(const char *path, char **bytes, size_t *length, nr_err *err)
{
    if (access(path, F_OK) != 0)
        return nr_fail(err, NR_CANNOT, path, 0, "is not there");
    return nr_file_read(path, NR_PACKED_MOST, bytes, length, err);
}

nr_code nr_run_file(const nr_run *run, const char *name, char **bytes, size_t *length, nr_err *err)
{
    const nr_run *record = run->record ? run->record : run;
    char path[NR_ERR_FILE];
    if (!record->packed) {
        nr_code code = nr_path_in(record->folder, name, path, err);
        return code == NR_OK ? slurp(path, bytes, length, err) : code;
    }
    const nr_packed_file *f = nr_packed_find(record->packed, record->packed_run, name);
    if (!f)
        return nr_fail(err, NR_CANNOT, record->folder, 0, "has no %s", name);
    *length = f->length;
    *bytes = malloc(f->length + 1);
    if (!*bytes)
        return nr_fail(err, NR_BAD, record->folder, 0, "not enough memory");
    memcpy(*bytes, f->bytes, f->length + 1);
    return NR_OK;
}

static nr_code read_parts(nr_run *run, const nr_sink *problems, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_code code = nr_path_in(run->folder, NR_RIG_FILE, path, err);
    if (code == NR_OK)
        code = nr_rig_read(path, NR_RIG_FOR_ANALYSIS, &run->rig, problems, err);
    if (code == NR_OK)
        code = nr_path_in(run->folder, NR_READINGS_FILE, path, err);
    if (code == NR_OK)
        code = read_readings(run, path, err);
    if (code == NR_OK)
        code = nr_path_in(run->folder, NR_NOTES_FILE, path, err);
    if (code == NR_OK)
        code = nr_notes_read(path, &run->notes, err);
    return code;
}

/* Behind a pause that was not believed notes have the wall clock in their elapsed_s, also those of
 * a record that was rebuilt since: their place is where the labels say. */
static void place_notes(nr_run *run)
{
    const nr_readings *r = run->readings;
    if (r->rows == 0)
        return;
    nr_values elapsed = nr_readings_elapsed(r), utc = nr_readings_utc(r);
    double last_s = nr_number(&elapsed, r->rows - 1), last_utc_s = nr_number(&utc, r->rows - 1);
    for (size_t i = 0; i < run->notes->count; i++) {
        nr_note *n = &run->notes->note[i];
        if (n->elapsed_s > last_s + NR_PAUSE_MOST_S)
            n->elapsed_s = fmax(last_s + (n->utc_s - last_utc_s), 0);
    }
}

static nr_code open_record(const char *folder, nr_run **out, const nr_sink *problems, nr_err *err)
{
    char page[NR_ERR_FILE];
    long number = 1;
    bool is_page = page_name(folder, page, &number);
    *out = NULL;
    nr_code code = is_page ? NR_OK : check_folder(folder, err);
    if (code != NR_OK)
        return code;
    nr_run *run = calloc(1, sizeof *run);
    if (!run)
        return nr_fail(err, NR_BAD, folder, 0, "not enough memory");
    if (!nr_copy(run->folder, sizeof run->folder, folder)) {
        free(run);
        return nr_fail(err, NR_BAD, folder, 0, "the path is too long");
    }
    for (size_t end = strlen(run->folder); end > 1 && run->folder[end - 1] == '/'; end--)
        run->folder[end - 1] = '\0';
    run->packed_run = (unsigned)number;
    if (is_page)
        code = nr_packed_read(page, &run->packed, err);
    if (code == NR_OK && is_page && run->packed->runs > 1 && strcmp(page, folder) == 0)
        code = nr_fail(err, NR_BAD, folder, 0, "has %u runs inside; name one: %s#1 ... %s#%u",
                       run->packed->runs, folder, folder, run->packed->runs);
    if (code == NR_OK)
        code = is_page ? parse_parts(run, page, problems, err) : read_parts(run, problems, err);
    if (code == NR_OK)
        place_notes(run);
    if (code != NR_OK) {
        nr_run_free(run);
        return code;
    }
    *out = run;
    return NR_OK;
}

static const nr_rig_channel *by_column(const nr_rig *rig, const char *column)
{
    for (size_t i = 0; i < rig->channels; i++)
        if (strcmp(rig->channel[i].column, column) == 0)
            return &rig->channel[i];
    return NULL;
}

/* The columns of a build under the names of their roles. `file`: the rig whose views share the
 * readings. */
static nr_code view_readings(const nr_rig *file, const nr_rig *rig, const nr_readings *from,
                             nr_readings *to, nr_err *err)
{
    nr_column *column = to->column;
    *to = *from;
    to->borrowed = true;
    to->column = column;
    to->columns = 0;
    for (size_t i = 0; i < from->columns; i++) {
        nr_column *added = &column[to->columns];
        *added = from->column[i];
        const nr_rig_channel *c = by_column(rig, added->channel);
        if (!c && (by_column(file, added->channel) || nr_rig_channel_find(rig, added->channel)))
            continue; /* another build's */
        const nr_meaning *meaning = c ? nr_meaning_find(c->name) : NULL;
        if (meaning &&
            !nr_meaning_accepts(meaning, added->known ? added->known->dimension : NR_DIM_NONE))
            return nr_fail(err, NR_BAD, rig->path, c->line_number,
                           "[channel %s] has the role %s, but its column of %s is in \"%s\"",
                           c->column, c->name, NR_READINGS_FILE, added->unit);
        if (c)
            nr_copy(added->channel, sizeof added->channel, c->name);
        to->columns++;
    }
    return NR_OK;
}

static nr_code view_of(nr_run *record, const nr_rig *file, size_t build, nr_run **out, nr_err *err)
{
    nr_run *run = calloc(1, sizeof *run);
    nr_readings *readings = nr_readings_new();
    *out = NULL;
    if (!run || !readings) {
        free(run), nr_readings_free(readings);
        return nr_fail(err, NR_BAD, record->folder, 0, "not enough memory");
    }
    nr_copy(run->folder, sizeof run->folder, record->folder);
    nr_rig_view(file, build, &run->rig);
    nr_code code = view_readings(file, &run->rig, record->readings, readings, err);
    if (code != NR_OK) {
        free(run), nr_readings_free(readings);
        return code;
    }
    run->readings = readings;
    run->notes = record->notes;
    run->record = record;
    run->collector = build;
    record->views++;
    *out = run;
    return NR_OK;
}

nr_code nr_run_open_builds(const char *folder, const char *collector, nr_run *out[NR_RIG_BUILDS],
                           size_t *count, const nr_sink *problems, nr_err *err)
{
    nr_run *record;
    char names[NR_RIG_BUILDS * (NR_NAME + 2)];
    *count = 0;
    nr_code code = open_record(folder, &record, problems, err);
    if (code != NR_OK)
        return code;
    size_t first = collector ? nr_rig_build_find(&record->rig, collector) : 0;
    size_t end = collector ? first + 1 : record->rig.builds;
    nr_rig_build_names(&record->rig, names, sizeof names);
    if (first == record->rig.builds)
        code = nr_fail(err, NR_BAD, record->rig.path, 0,
                       "there is no collector \"%s\" in this record; there is: %s", collector,
                       names[0] ? names : "one without a name");
    for (size_t i = first; code == NR_OK && i < end; i++) {
        code = view_of(record, &record->rig, i, &out[*count], err);
        *count += code == NR_OK;
    }
    if (code == NR_OK)
        return NR_OK;
    if (*count == 0)
        nr_run_free(record); /* no view would do it */
    for (size_t i = 0; i < *count; i++)
        nr_run_free(out[i]);
    *count = 0;
    return code;
}

nr_code nr_run_again(const nr_run *run, nr_run **out, nr_err *err)
{
    nr_run *again = calloc(1, sizeof *again);
    nr_readings *readings = nr_readings_new();
    *out = NULL;
    if (!again || !readings || !run->record) {
        free(again), nr_readings_free(readings);
        return nr_fail(err, NR_BAD, run->folder, 0, "not enough memory");
    }
    nr_copy(again->folder, sizeof again->folder, run->folder);
    nr_rig_view(&run->rig, 0, &again->rig);
    nr_column *column = readings->column;
    *readings = *run->readings;
    readings->column = column;
    readings->borrowed = true;
    memcpy(column, run->readings->column, run->readings->columns * sizeof *column);
    again->readings = readings;
    again->notes = run->notes;
    again->record = run->record;
    again->collector = run->collector;
    run->record->views++;
    *out = again;
    return NR_OK;
}

/* As the part may be given: by the clock, and since the start. */
static nr_code no_such_part(const nr_run *run, nr_err *err)
{
    const nr_readings *r = run->readings;
    char from[NR_UTC_SIZE], to[NR_UTC_SIZE];
    if (r->rows == 0)
        return nr_fail(err, NR_CANNOT, run->folder, 0, "no row lies in that part; there is none");
    nr_values elapsed = nr_readings_elapsed(r), utc = nr_readings_utc(r);
    nr_utc_format(nr_number(&utc, 0), from);
    nr_utc_format(nr_number(&utc, r->rows - 1), to);
    return nr_fail(err, NR_CANNOT, run->folder, 0,
                   "no row lies in that part; the record goes from %.16sZ to %.16sZ, %.1f to %.1f "
                   "min since its start",
                   from, to, nr_number(&elapsed, 0) / 60, nr_number(&elapsed, r->rows - 1) / 60);
}

nr_code nr_run_use(nr_run *run, double from_s, double to_s, nr_err *err)
{
    nr_readings *r = run->readings;
    nr_values elapsed = nr_readings_elapsed(r);
    size_t first = 0, end = r->rows;
    nr_cursor t;
    nr_cursor_begin(&t, &elapsed);
    while (first < end && nr_at(&t, first) < from_s)
        first++;
    while (end > first && nr_at(&t, end - 1) > to_s)
        end--;
    if (first == end)
        return no_such_part(run, err);
    if (r->elapsed_packed) {
        r->first += first;
    } else {
        r->utc_s += first;
        r->elapsed_s += first;
    }
    for (size_t c = 0; c < r->columns; c++) {
        nr_column *column = &r->column[c];
        if (column->packed)
            column->first += first;
        else
            column->value += first;
    }
    r->rows = r->capacity = end - first;
    return NR_OK;
}

bool nr_run_same_record(const nr_run *a, const nr_run *b)
{
    return a == b || (a->record && a->record == b->record);
}

bool nr_run_same_collector(const nr_run *a, const nr_run *b)
{
    return nr_run_same_record(a, b) && a->collector == b->collector;
}

/* The channel's column, or a new one behind the others. */
static nr_column *find_or_add(nr_readings *r, const char *channel, const char *unit)
{
    for (size_t i = 0; i < r->columns; i++)
        if (strcmp(r->column[i].channel, channel) == 0)
            return &r->column[i];
    if (r->columns == NR_READINGS_COLUMNS)
        return NULL;
    nr_column *c = &r->column[r->columns++];
    *c = (nr_column){.known = nr_unit_find(unit), .given = nr_unit_find(unit)};
    nr_copy(c->channel, sizeof c->channel, channel);
    nr_copy(c->unit, sizeof c->unit, unit);
    return c;
}

nr_code nr_run_own_column(nr_run *run, const char *channel, const char *unit, double **value,
                          nr_err *err)
{
    nr_run *keeper = run->record ? run->record : run;
    nr_readings *r = run->readings;
    double *own = malloc((r->rows ? r->rows : 1) * sizeof *own);
    nr_column *c = own && keeper->owns < NR_RUN_OWN ? find_or_add(r, channel, unit) : NULL;
    if (!c) {
        free(own);
        return nr_fail(err, NR_BAD, run->folder, 0, "no room for another column");
    }
    nr_values before = nr_column_values(c);
    nr_cursor of;
    nr_cursor_begin(&of, &before);
    for (size_t i = 0; i < r->rows; i++)
        own[i] = nr_values_there(&before) ? nr_at(&of, i) : NAN;
    c->value = own;
    c->packed = NULL;
    keeper->own[keeper->owns++] = own;
    *value = own;
    return NR_OK;
}

void nr_run_free(nr_run *run)
{
    if (!run)
        return;
    nr_run *record = run->record;
    nr_readings_free(run->readings);
    while (run->owns > 0)
        free(run->own[--run->owns]);
    if (!record) {
        nr_notes_free(run->notes);
        nr_packed_free(run->packed);
    }
    free(run);
    if (record && --record->views == 0)
        nr_run_free(record);
}
