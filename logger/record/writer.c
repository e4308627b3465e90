/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/writer.h"

#include "logger/base/text.h"
#include "logger/record/adapter_log.h"
#include "logger/record/disk.h"
#include "logger/run/folder.h"
#include "logger/run/readings.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What is held while the disk refuses: more than an hour at one line a second. */
#define READINGS_ROOM ((size_t)512 * 1024)
#define LOG_ROOM ((size_t)512 * 1024)
#define ROW_SIZE 8192

struct nr_writer {
    const nr_rig *rig;
    const nr_sink *say;
    char folder[NR_ERR_FILE];
    nr_append *readings, *log;
    nr_notebook notes;
    nr_disk *disk; /* flushes and syncs the three */
    bool fresh;    /* something was added since the last flush was asked for */
    unsigned long lost_rows, lost_lines; /* since the start */
    unsigned long told_rows, told_lines; /* of those, already noted */
    double trouble_since_s;
    nr_supply_told told_supply;
    char trouble[200];
};

nr_code nr_writer_open(const char *folder, int state_fd, const nr_rig *rig, const nr_files *files,
                       const nr_sink *say, nr_writer **out, nr_err *err)
{
    char path[NR_ERR_FILE + 32];
    nr_writer *w = calloc(1, sizeof *w);
    if (!w)
        return nr_fail(err, NR_BAD, folder, 0, "not enough memory");
    w->rig = rig;
    w->say = say;
    nr_copy(w->folder, sizeof w->folder, folder);
    if (!nr_notebook_init(&w->notes, files, folder)) {
        free(w);
        return nr_fail(err, NR_BAD, folder, 0, "the path is too long");
    }
    snprintf(path, sizeof path, "%s/" NR_READINGS_FILE, folder);
    nr_code code = nr_append_open(files, path, READINGS_ROOM, &w->readings, err);
    snprintf(path, sizeof path, "%s/" NR_ADAPTER_LOG_FILE, folder);
    if (code == NR_OK)
        code = nr_append_open(files, path, LOG_ROOM, &w->log, err);
    if (code == NR_OK)
        code = nr_disk_start(w->log, w->readings, &w->notes, state_fd, &w->disk, err);
    if (code != NR_OK) {
        nr_writer_close(w);
        return code;
    }
    *out = w;
    return NR_OK;
}

/* Memory may fill up between two syncs when lines come in a flood: then the disk is asked to
 * confirm early, and waited for. Not when it is in trouble already: a flood of attempts would not
 * mend it. */
static bool keep(nr_writer *w, nr_append *to, const char *row, size_t length)
{
    w->fresh = true;
    if (nr_append_rows(to, row, length))
        return true;
    if (nr_append_errno(to) != 0)
        return false;
    nr_disk_settle(w->disk);
    return nr_append_rows(to, row, length);
}

void nr_writer_line(nr_writer *w, double utc_s, double elapsed_s, const char *adapter,
                    const nr_wire_line *line)
{
    char row[NR_ADAPTER_LOG_ROW];
    size_t n = nr_adapter_log_row(utc_s, elapsed_s, adapter, line, row, sizeof row);
    if (!keep(w, w->log, row, n))
        w->lost_lines++;
}

void nr_writer_row(nr_writer *w, const nr_sample *sample)
{
    char row[ROW_SIZE];
    size_t n =
        nr_readings_row(w->rig, sample->utc_s, sample->elapsed_s, sample->value, row, sizeof row);
    if (n == 0 || !keep(w, w->readings, row, n))
        w->lost_rows++;
}

void nr_writer_note(nr_writer *w, double utc_s, double elapsed_s, nr_note_kind kind,
                    const char *text)
{
    nr_note note = {.utc_s = utc_s, .elapsed_s = elapsed_s, .kind = kind};
    nr_clean(note.text, sizeof note.text, text, strlen(text));
    nr_notebook_add(&w->notes, &note);
    w->fresh = true;
    nr_say(w->say, "%s", note.text);
}

void nr_writer_mark_resume(nr_writer *w)
{
    nr_append_rows(w->log, NR_ADAPTER_LOG_RESUME, strlen(NR_ADAPTER_LOG_RESUME));
}

void nr_writer_flush(nr_writer *w)
{
    if (w->fresh)
        nr_disk_flush(w->disk);
    w->fresh = false;
}

void nr_writer_state(nr_writer *w, const nr_state *state)
{
    nr_disk_state(w->disk, state);
}

void nr_writer_sync(nr_writer *w)
{
    nr_disk_sync(w->disk);
}

bool nr_writer_waiting(nr_writer *w)
{
    return nr_append_waiting(w->log) > 0 || nr_append_waiting(w->readings) > 0 ||
           nr_notebook_waiting(&w->notes) > 0;
}

static void say_trouble(nr_writer *w, int why, double elapsed_s)
{
    char words[sizeof w->trouble];
    if (why == ESTALE || why == ENOENT)
        snprintf(words, sizeof words, "the run folder has vanished");
    else
        snprintf(words, sizeof words, "cannot write: %s", strerror(why));
    if (strcmp(words, w->trouble) == 0)
        return;
    if (!w->trouble[0])
        w->trouble_since_s = elapsed_s;
    nr_copy(w->trouble, sizeof w->trouble, words);
    nr_say(w->say, "%s: %s; keeping what arrives in memory and trying again", w->folder, words);
}

static void end_trouble(nr_writer *w, double utc_s, double elapsed_s)
{
    char text[400], lost[120] = "nothing was lost";
    unsigned long rows = w->lost_rows - w->told_rows, lines = w->lost_lines - w->told_lines;
    if (rows + lines > 0)
        snprintf(lost, sizeof lost, "%lu rows and %lu logged lines did not fit in memory", rows,
                 lines);
    snprintf(text, sizeof text, "%s; writing again after %.0f s, %s", w->trouble,
             elapsed_s - w->trouble_since_s, lost);
    w->trouble[0] = '\0';
    w->told_rows = w->lost_rows;
    w->told_lines = w->lost_lines;
    nr_writer_note(w, utc_s, elapsed_s, rows > 0 ? NR_NOTE_GAP : NR_NOTE_PORT, text);
}

static void judge(nr_writer *w, const nr_disk_answer *answer, double utc_s, double elapsed_s)
{
    char text[200];
    while (nr_supply_warn(&w->told_supply, &answer->supply, text, sizeof text))
        nr_writer_note(w, utc_s, elapsed_s, NR_NOTE_NOTE, text);
    if (answer->why != 0)
        say_trouble(w, answer->why, elapsed_s);
    else if (w->trouble[0] && answer->confirmed)
        end_trouble(w, utc_s, elapsed_s);
}

void nr_writer_look(nr_writer *w, double utc_s, double elapsed_s)
{
    nr_disk_answer answer;
    if (nr_disk_answered(w->disk, &answer))
        judge(w, &answer, utc_s, elapsed_s);
}

bool nr_writer_settle(nr_writer *w, double utc_s, double elapsed_s)
{
    nr_disk_answer answer = nr_disk_settle(w->disk);
    judge(w, &answer, utc_s, elapsed_s);
    return answer.confirmed && !nr_writer_waiting(w);
}

const char *nr_writer_trouble(const nr_writer *w)
{
    return w->trouble;
}

unsigned long nr_writer_confirmed(const nr_writer *w)
{
    return nr_append_confirmed(w->readings);
}

unsigned long nr_writer_lost(const nr_writer *w)
{
    return w->lost_rows + w->lost_lines + w->notes.lost;
}

void nr_writer_close(nr_writer *w)
{
    if (!w)
        return;
    nr_disk_stop(w->disk);
    nr_append_close(w->readings);
    nr_append_close(w->log);
    free(w);
}
