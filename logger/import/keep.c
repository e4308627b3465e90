/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/keep.h"

#include "logger/base/text.h"
#include "logger/record/begin.h"
#include "logger/record/stamp.h"
#include "logger/run/file.h"
#include "logger/run/folder.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define ROW_SIZE (NR_RIG_CHANNELS * 64 + 256)
#define BEFORE NR_STATE_FOLDER "/readings.csv.before"

static nr_code write_file(const char *folder, const char *name, const char *bytes, size_t length,
                          nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_code code = nr_path_in(folder, name, path, err);
    if (code != NR_OK)
        return code;
    FILE *file = fopen(path, "wbxe");
    if (!file)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot be written");
    bool good =
        fwrite(bytes, 1, length, file) == length && fflush(file) == 0 && fsync(fileno(file)) == 0;
    int why = errno;
    if (fclose(file) != 0 && good) {
        why = errno;
        good = false;
    }
    return good ? NR_OK : nr_fail_errno(err, NR_BAD, path, why, "cannot be written");
}

/* --- rows ------------------------------------------------------------------------------------ */

typedef struct source {
    const nr_imported *imported;
    const nr_rig *rig;
} source;

static nr_code write_rows(void *context, FILE *to, nr_rebuilt *out, nr_err *err)
{
    const source *s = context;
    const nr_imported *im = s->imported;
    char row[ROW_SIZE];
    out->lines = im->table.rows;
    for (size_t i = 0; i < im->rows.count; i++) {
        double utc_s = im->zero_utc_s + im->elapsed_s[i];
        size_t n = nr_readings_row(s->rig, utc_s, im->elapsed_s[i],
                                   im->value + i * s->rig->channels, row, sizeof row);
        if (n == 0 || fwrite(row, 1, n, to) != n)
            return nr_fail_errno(err, NR_BAD, NULL, errno, "cannot write the readings");
        out->rows++;
        out->last_utc_s = utc_s;
        out->last_elapsed_s = im->elapsed_s[i];
    }
    return NR_OK;
}

/* --- a new run ------------------------------------------------------------------------------- */

static void undo(nr_begun *begun, const char *table_name)
{
    const char *const names[] = {table_name, NR_HOW_FILE, BEFORE};
    char path[NR_ERR_FILE];
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (nr_path_in(begun->folder, names[i], path, NULL) == NR_OK)
            unlink(path);
    if (nr_path_in(begun->folder, NR_IMPORTED_FOLDER, path, NULL) == NR_OK)
        rmdir(path);
    nr_begin_undo(begun);
}

static nr_code keep_table(nr_begun *begun, const char *name, const char *bytes, size_t length,
                          const char *how, size_t how_length, nr_err *err)
{
    char path[NR_ERR_FILE];
    nr_code code = nr_path_in(begun->folder, NR_IMPORTED_FOLDER, path, err);
    if (code == NR_OK && mkdir(path, 0755) < 0)
        code = nr_fail_errno(err, NR_BAD, path, errno, "cannot be made");
    if (code == NR_OK)
        code = write_file(begun->folder, name, bytes, length, err);
    if (code == NR_OK)
        code = write_file(begun->folder, NR_HOW_FILE, how, how_length, err);
    /* Nothing came over a wire. */
    if (code == NR_OK && nr_path_in(begun->folder, NR_ADAPTER_LOG_FILE, path, NULL) == NR_OK)
        unlink(path);
    return code;
}

/* For `note`, `status` and `watch`: when the run was. */
static void write_state(nr_begun *begun, const nr_imported *im)
{
    double last = im->elapsed_s[im->rows.count - 1];
    begun->state.pid = 0;
    begun->state.boot_id[0] = '\0';
    begun->state.ended = true;
    begun->state.zero_utc_s = im->zero_utc_s;
    begun->state.elapsed_s = last;
    begun->state.last_row_s = last;
    begun->state.rows = im->rows.count;
    begun->state.lines = im->table.rows;
    nr_state_write(begun->lock_fd, &begun->state);
}

static nr_code note_it(const char *folder, const char *table, const nr_imported *im, nr_err *err)
{
    nr_note note = {.utc_s = im->zero_utc_s + im->elapsed_s[0],
                    .elapsed_s = im->elapsed_s[0],
                    .kind = NR_NOTE_START};
    char text[sizeof note.text];
    snprintf(text, sizeof text, "imported from the table %.200s", table);
    nr_clean(note.text, sizeof note.text, text, strlen(text));
    return nr_stamp_write(folder, &note, err);
}

static const char *base_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

nr_code nr_import_keep(const char *folder, const nr_rig *rig, const char *rig_text,
                       size_t rig_length, const char *table, const char *bytes, size_t length,
                       const nr_imported *imported, const nr_import_stated *stated, nr_err *err)
{
    char name[NR_ERR_FILE], shown[200];
    nr_begun begun;
    nr_rebuilt rebuilt;
    nr_now now = {.utc_s = imported->zero_utc_s};
    source from = {imported, rig};
    size_t how_length = 0;
    nr_clean(shown, sizeof shown, base_name(table), strlen(base_name(table)));
    if (strcmp(shown, "how.ini") == 0)
        nr_copy(shown, sizeof shown, "table");
    snprintf(name, sizeof name, NR_IMPORTED_FOLDER "/%s", shown);
    char *how = nr_import_how_write(shown, imported, rig, stated, &how_length);
    if (!how)
        return nr_fail(err, NR_BAD, folder, 0, "not enough memory");
    nr_code code = nr_begin_new(folder, rig, rig_text, rig_length, &now, &begun, err);
    if (code != NR_OK) {
        free(how);
        return code;
    }
    code = keep_table(&begun, name, bytes, length, how, how_length, err);
    free(how);
    if (code == NR_OK)
        write_state(&begun, imported);
    nr_begun_end(&begun);
    if (code == NR_OK)
        code = nr_rebuild_from(folder, rig, NULL, 0, write_rows, &from, &rebuilt, err);
    if (code == NR_OK)
        code = note_it(folder, shown, imported, err);
    if (code != NR_OK)
        undo(&begun, name);
    else if (nr_path_in(folder, BEFORE, name, NULL) == NR_OK)
        unlink(name);
    return code;
}

/* --- again ----------------------------------------------------------------------------------- */

bool nr_import_is(const char *folder)
{
    char path[NR_ERR_FILE];
    return nr_path_in(folder, NR_HOW_FILE, path, NULL) == NR_OK && access(path, F_OK) == 0;
}

static nr_code read_how(const char *folder, const nr_rig *rig, nr_import_how *how, nr_err *err)
{
    char path[NR_ERR_FILE], *text = NULL;
    size_t length;
    nr_code code = nr_path_in(folder, NR_HOW_FILE, path, err);
    if (code == NR_OK)
        code = nr_file_read(path, 1000000, &text, &length, err);
    if (code == NR_OK)
        code = nr_import_how_read(text, length, path, rig, how, err);
    free(text);
    return code;
}

static nr_code again(const char *folder, const nr_rig *rig, const char *rig_text, size_t rig_length,
                     const nr_import_how *how, nr_imported *im, nr_rebuilt *out, nr_err *err)
{
    char name[NR_ERR_FILE], path[NR_ERR_FILE], *bytes = NULL;
    size_t length;
    source from = {im, rig};
    snprintf(name, sizeof name, NR_IMPORTED_FOLDER "/%s", how->table);
    nr_code code = nr_path_in(folder, name, path, err);
    if (code == NR_OK)
        code = nr_file_read(path, NR_IMPORT_MOST_BYTES, &bytes, &length, err);
    if (code == NR_OK)
        code = nr_import_read(bytes, length, path, rig, &how->stated, im, err);
    if (code == NR_OK)
        code = nr_rebuild_from(folder, rig, rig_text, rig_length, write_rows, &from, out, err);
    free(bytes);
    return code;
}

nr_code nr_import_rebuild(const char *folder, const nr_rig *rig, const char *rig_text,
                          size_t rig_length, nr_rebuilt *out, nr_import_said *said, nr_err *err)
{
    nr_import_how *how = malloc(sizeof *how);
    nr_imported *im = calloc(1, sizeof *im);
    nr_code code = how && im ? read_how(folder, rig, how, err)
                             : nr_fail(err, NR_BAD, folder, 0, "not enough memory");
    if (code == NR_OK)
        code = again(folder, rig, rig_text, rig_length, how, im, out, err);
    if (code == NR_OK && said)
        *said = im->said;
    if (im)
        nr_imported_free(im);
    free(how);
    free(im);
    return code;
}
