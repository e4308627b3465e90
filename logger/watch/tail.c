/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/watch/tail.h"

#include "logger/base/text.h"
#include "logger/record/clock.h"
#include "logger/run/folder.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* Most bytes taken at once: some 10 hours at one row a second. */
#define CHUNK_MOST 4000000

static bool path_in(const nr_tail *t, const char *name, char out[NR_ERR_FILE])
{
    return snprintf(out, NR_ERR_FILE, "%s/%s", t->folder, name) < NR_ERR_FILE;
}

static void begin_anew(nr_tail *t)
{
    free(t->header);
    t->header = NULL;
    t->offset = 0;
    t->refused_bytes = 0;
    t->rows = 0;
    t->all_rows = 0;
    t->channels = 0;
    nr_history_begin(&t->history);
}

/* --- rows ---------------------------------------------------------------------------------- */

static void make_channels(nr_tail *t, const nr_readings *r)
{
    t->channels = r->columns < NR_RIG_CHANNELS ? r->columns : NR_RIG_CHANNELS;
    for (size_t c = 0; c < t->channels; c++) {
        nr_tail_channel *to = &t->channel[c];
        const nr_column *from = &r->column[c];
        nr_clean(to->name, sizeof to->name, from->channel, strlen(from->channel));
        nr_clean(to->label, sizeof to->label, from->unit, strlen(from->unit));
        to->unit = from->known;
        to->low = to->high = to->last = to->last_s = to->changed_s = NAN;
    }
}

/* Makes room for one more row by letting the older half go. */
static void make_room(nr_tail *t)
{
    size_t keep = NR_TAIL_ROWS / 2, from = t->rows - keep;
    memmove(t->time_s, t->time_s + from, keep * sizeof(double));
    memmove(t->utc_s, t->utc_s + from, keep * sizeof(double));
    for (size_t c = 0; c < t->channels; c++)
        memmove(t->channel[c].value, t->channel[c].value + from, keep * sizeof(double));
    t->rows = keep;
}

static void take_value(nr_tail_channel *c, size_t row, double time_s, double value)
{
    c->value[row] = value;
    if (isnan(value))
        return;
    if (isnan(c->last) || value != c->last)
        c->changed_s = time_s;
    c->last = value;
    c->last_s = time_s;
    c->low = fmin(isnan(c->low) ? value : c->low, value);
    c->high = fmax(isnan(c->high) ? value : c->high, value);
}

/* False: no memory, and nothing was taken. */
static bool take_rows(nr_tail *t, const nr_readings *r)
{
    if (t->channels == 0)
        make_channels(t, r);
    nr_cursor *of = malloc((t->channels + 2) * sizeof *of);
    if (!of)
        return false;
    nr_values elapsed = nr_readings_elapsed(r), utc = nr_readings_utc(r);
    nr_cursor_begin(&of[t->channels], &elapsed);
    nr_cursor_begin(&of[t->channels + 1], &utc);
    for (size_t c = 0; c < t->channels; c++) {
        nr_values numbers = nr_column_values(&r->column[c]);
        nr_cursor_begin(&of[c], &numbers);
    }
    for (size_t i = 0; i < r->rows; i++) {
        if (t->rows == NR_TAIL_ROWS)
            make_room(t);
        size_t row = t->rows++;
        t->all_rows++;
        double elapsed_s = t->time_s[row] = nr_at(&of[t->channels], i);
        t->utc_s[row] = nr_at(&of[t->channels + 1], i);
        for (size_t c = 0; c < t->channels; c++) {
            double value = nr_at(&of[c], i);
            take_value(&t->channel[c], row, elapsed_s, value);
            nr_history_take(&t->history, c, elapsed_s, value);
        }
    }
    free(of);
    return true;
}

/* --- the file ------------------------------------------------------------------------------ */

/* Whole lines from offset on; *length 0: nothing new. NULL: no memory or trouble. */
static char *read_lines(FILE *file, off_t offset, size_t *length)
{
    *length = 0;
    char *text = malloc(CHUNK_MOST);
    if (!text || fseeko(file, offset, SEEK_SET) != 0) {
        free(text);
        return NULL;
    }
    size_t n = fread(text, 1, CHUNK_MOST, file);
    while (n > 0 && text[n - 1] != '\n')
        n--;
    *length = n;
    return text;
}

static bool keep_header(nr_tail *t, const char *text, size_t length)
{
    const char *end = memchr(text, '\n', length);
    size_t n = end ? (size_t)(end - text) + 1 : 0;
    t->header = n > 0 ? strndup(text, n) : NULL;
    t->offset = t->header ? (off_t)n : 0;
    return t->header != NULL;
}

/* The new lines under the header they belong to. False: the very same are tried again the next
 * time, which is what a lack of memory wants; a bad line is then passed over. */
static bool take_lines(nr_tail *t, const char *path, const char *text, size_t length)
{
    bool again = t->refused_bytes > 0;
    length = again ? t->refused_bytes : length;
    size_t head = strlen(t->header);
    char *whole = malloc(head + length);
    nr_readings *readings;
    nr_err err;
    if (!whole)
        return false;
    memcpy(whole, t->header, head);
    memcpy(whole + head, text, length);
    bool taken;
    if (nr_readings_parse(whole, head + length, path, &readings, &err) == NR_OK) {
        taken = take_rows(t, readings);
        nr_readings_free(readings);
    } else {
        taken = again;
        if (!again)
            nr_copy(t->trouble, sizeof t->trouble, err.text);
    }
    free(whole);
    t->refused_bytes = taken ? 0 : length;
    t->offset += taken ? (off_t)length : 0;
    return taken;
}

static void update_readings(nr_tail *t)
{
    char path[NR_ERR_FILE];
    struct stat is;
    path_in(t, NR_READINGS_FILE, path);
    FILE *file = fopen(path, "rb");
    if (!file || fstat(fileno(file), &is) != 0) {
        snprintf(t->trouble, sizeof t->trouble, NR_READINGS_FILE ": %s", strerror(errno));
        if (file)
            fclose(file);
        return;
    }
    if (is.st_ino != t->inode || is.st_size < t->offset)
        begin_anew(t);
    t->inode = is.st_ino;
    bool taken = true;
    for (size_t length = 1; taken && length > 0;) {
        char *text = read_lines(file, t->offset, &length);
        taken = text && (length == 0 || (t->header ? take_lines(t, path, text, length)
                                                   : keep_header(t, text, length)));
        free(text);
    }
    if (!taken && !t->trouble[0])
        nr_copy(t->trouble, sizeof t->trouble,
                NR_READINGS_FILE ": not enough memory for what is new; it is tried again");
    fclose(file);
}

static void update_notes(nr_tail *t)
{
    char path[NR_ERR_FILE];
    nr_notes *notes;
    path_in(t, NR_NOTES_FILE, path);
    if (nr_notes_read(path, &notes, NULL) != NR_OK)
        return;
    nr_notes_free(t->notes);
    t->notes = notes;
}

static void update_state(nr_tail *t)
{
    nr_now now;
    t->recording = nr_state_holder(t->folder) > 0;
    t->has_state = nr_state_read(t->folder, &t->state, NULL) == NR_OK;
    nr_clock_system.now(NULL, &now);
    t->state_age_s =
        t->recording && t->has_state ? fmax(0.0, now.steady_s - t->state.at_steady_s) : 0.0;
}

void nr_tail_update(nr_tail *t)
{
    t->trouble[0] = '\0';
    update_state(t);
    update_readings(t);
    update_notes(t);
}

/* --- life ---------------------------------------------------------------------------------- */

nr_code nr_tail_open(const char *folder, nr_tail **out, nr_err *err)
{
    char path[NR_ERR_FILE];
    struct stat is;
    *out = NULL;
    nr_tail *t = calloc(1, sizeof *t);
    if (!t)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    nr_code code = NR_OK;
    if (!nr_copy(t->folder, sizeof t->folder, folder) || !path_in(t, NR_READINGS_FILE, path))
        code = nr_fail(err, NR_BAD, folder, 0, "the path is too long");
    else if (stat(path, &is) != 0)
        code = nr_fail_errno(err, NR_BAD, path, errno, "this is no run folder");
    if (code != NR_OK) {
        free(t);
        return code;
    }
    path_in(t, NR_RIG_FILE, path);
    t->has_rig = nr_rig_read(path, NR_RIG_FOR_RECORD, &t->file, NULL, NULL) == NR_OK ||
                 nr_rig_read(path, NR_RIG_FOR_READINGS, &t->file, NULL, NULL) == NR_OK ||
                 nr_rig_read(path, NR_RIG_FOR_ANALYSIS, &t->file, NULL, NULL) == NR_OK;
    if (t->has_rig)
        nr_tail_choose(t, 0);
    nr_tail_update(t);
    *out = t;
    return NR_OK;
}

void nr_tail_free(nr_tail *t)
{
    if (!t)
        return;
    nr_notes_free(t->notes);
    free(t->header);
    free(t);
}

void nr_tail_choose(nr_tail *t, size_t build)
{
    t->build = build;
    nr_rig_view(&t->file, build, &t->rig);
}

const nr_tail_channel *nr_tail_find(const nr_tail *t, const char *name)
{
    const nr_rig_channel *of_role = t->has_rig ? nr_rig_channel_find(&t->rig, name) : NULL;
    if (of_role)
        name = of_role->column;
    else if (t->has_rig && nr_rig_channel_find(&t->file, name))
        return NULL; /* another collector's */
    for (size_t c = 0; c < t->channels; c++)
        if (strcmp(t->channel[c].name, name) == 0)
            return &t->channel[c];
    return NULL;
}

double nr_tail_now_s(const nr_tail *t)
{
    double last = t->rows > 0 ? t->time_s[t->rows - 1] : 0.0;
    if (t->recording && t->has_state)
        return fmax(last, t->state.elapsed_s + t->state_age_s);
    return last;
}
