/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog import: a run folder from a table of values that came from elsewhere. */
#include "logger/noonlog/commands.h"

#include "logger/base/paragraph.h"
#include "logger/base/text.h"
#include "logger/base/utc.h"
#include "logger/import/keep.h"
#include "logger/import/sketch.h"
#include "logger/noonlog/import_page.h"
#include "logger/run/file.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct request {
    const char *rig, *time, *format, *zone, *start;
    nr_texts maps;
    long skip;
    bool preview;
    const char *table, *folder; /* folder NULL: none named */
} request;

static const nr_option own[] = {
    {.kind = NR_OPTION_TEXT,
     .name = "rig",
     .value = "RIG",
     .offset = offsetof(request, rig),
     .help = "the rig file; without it one is drafted from the table (with a collector each, where "
             "the heads name several containers): into RUN, or to the terminal where no RUN is "
             "named"},
    {.kind = NR_OPTION_TEXTS,
     .name = "map",
     .value = "COLUMN=CHANNEL",
     .offset = offsetof(request, maps),
     .help =
         "this column is that channel; a unit may follow (\"Probe 2=air degF\"); COLUMN= leaves "
         "the column out; may be given several times"},
    {.kind = NR_OPTION_TEXT,
     .name = "time",
     .value = "COLUMNS",
     .offset = offsetof(request, time),
     .help = "where the time stands: Time, \"Date+Time\", \"2+3+4\""},
    {.kind = NR_OPTION_TEXT,
     .name = "time-format",
     .value = "FORMAT",
     .offset = offsetof(request, format),
     .help =
         "how it is written: \"%d/%m/%Y %H:%M\", \"%Y %j %H%M\", or one of s, min, h, ms (since "
         "the start), epoch, epoch-ms, days (of a spreadsheet)"},
    {.kind = NR_OPTION_TEXT,
     .name = "zone",
     .value = "ZONE",
     .offset = offsetof(request, zone),
     .help = "the clock's time zone: America/Denver, UTC, +02:00 (otherwise what the table says "
             "(\"Time (UTC)\"), or this computer's)"},
    {.kind = NR_OPTION_TEXT,
     .name = "start",
     .value = "TIME",
     .offset = offsetof(request, start),
     .help = "when it began, for a table without dates: \"2026-05-16 10:15\""},
    {.kind = NR_OPTION_WHOLE,
     .name = "skip",
     .value = "N",
     .offset = offsetof(request, skip),
     .help = "leave out so many lines at the top",
     .low = 0,
     .high = 1e6},
    {.kind = NR_OPTION_ON,
     .name = "preview",
     .offset = offsetof(request, preview),
     .help = "show what would be made of it; write nothing"},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_import = {
    .program = NR_PROGRAM,
    .name = "import",
    .arguments = "TABLE [RUN]",
    .summary = "a run from a table that came from elsewhere",
    .about =
        "Makes a run folder of any table of values: of another logger, a weather station, a "
        "thermometer, a spreadsheet, a sheet of paper typed in. Separator, decimal sign, letters, "
        "head, units and times are found by what the table holds; columns are matched to the rig's "
        "channels by their words and units, and shown with the reason. What cannot be told is "
        "asked for, with the option that settles it.\n\n"
        "Columns are named by their head or their number from 1. A mapped column without a unit "
        "has the channel's; columns without a channel are left out; of several times the leftmost "
        "counts. The rig's [adapter] is passed over, and so is a channel's `convert` where the "
        "table has its unit already. The table stays in RUN/imported, verbatim, with what was "
        "decided; `noonlog rebuild RUN` makes the readings from it again.\n\n"
        "A page of `noonfit report` (PAGE.html) has its runs inside: `noonlog import PAGE.html "
        "RUN` "
        "makes the run folder again; of a page of several runs each becomes a folder inside RUN, "
        "and PAGE.html#2 is the second alone.",
    .examples = "  noonlog import kitchen.csv --rig bucket.ini --preview\n"
                "  noonlog import kitchen.csv --rig bucket.ini evening\n"
                "  noonlog import station.txt --rig bucket.ini evening --map \"Probe 2=store\" \\\n"
                "      --time \"2+3+4\" --time-format \"%Y %j %H%M\" --zone America/Denver\n",
    .least = 1,
    .most = 2,
    .wants = "wants a table and the run folder to make: TABLE --rig RIG RUN",
    .word = {NR_WORD_FILE, NR_WORD_RUN},
    .groups = groups,
    .run = run};

static int parse(int argc, char **argv, request *q)
{
    nr_words words;
    nr_err err;
    *q = (request){.rig = NULL};
    if (nr_command_read(&nr_cmd_import, argc, argv, q, &words, &err) != NR_OK)
        return 1 + nr_cmd_failed(&err);
    q->table = words.word[0];
    q->folder = words.count > 1 ? words.word[1] : NULL;
    if (nr_import_is_page(q->table) && (!q->folder || q->rig || q->maps.count > 0))
        return 1 + nr_cmd_usage(&nr_cmd_import, "a page wants the run folder to make and no rig: "
                                                "its runs have theirs");
    if (q->rig && !q->folder && !q->preview)
        return 1 + nr_cmd_usage(&nr_cmd_import, "%s", nr_cmd_import.wants);
    return 0;
}

/* --- what was found --------------------------------------------------------------------------- */

static void number(double value, char out[32])
{
    nr_format_number(out, 32, value, -1);
    if (!out[0])
        nr_copy(out, 32, "-");
}

#define SHOWN_WIDTH 26

/* Cut to a column of the table by characters, not bytes. */
static void cell(const char *text, int width)
{
    size_t bytes = strlen(text);
    while (bytes > 0 && (nr_columns(text, bytes) > width || (text[bytes] & 0xc0) == 0x80))
        bytes--;
    printf("%.*s%*s", (int)bytes, text, width - nr_columns(text, bytes) + 2, "");
}

/* Channels of several collectors have long names. */
#define CHANNEL_WIDTH 10
#define CHANNEL_WIDEST 20

static void show_channels(const nr_imported *im, const nr_rig *rig)
{
    char first[32], last[32], name[NR_HEAD];
    int wide = CHANNEL_WIDTH;
    for (size_t ch = 0; ch < rig->channels; ch++)
        if (im->match.of[ch].column != NR_NO_COLUMN && (int)strlen(rig->channel[ch].name) > wide)
            wide = (int)strlen(rig->channel[ch].name);
    wide = wide > CHANNEL_WIDEST ? CHANNEL_WIDEST : wide;
    printf("  %-26s  %-*s  %-8s  %9s  %9s  why\n", "column", wide, "channel", "unit", "first",
           "last");
    for (size_t ch = 0; ch < rig->channels; ch++) {
        const nr_matched *m = &im->match.of[ch];
        if (m->column == NR_NO_COLUMN)
            continue;
        nr_table_name(&im->table, m->column, name, sizeof name);
        number(im->first[ch], first);
        number(im->last[ch], last);
        fputs("  ", stdout);
        cell(name, SHOWN_WIDTH);
        cell(rig->channel[ch].name, wide);
        cell(nr_imported_unit(im, rig, ch), 8);
        printf("%9s  %9s  %s\n", first, last, m->why);
    }
}

static void show(const nr_imported *im, const nr_rig *rig, const char *table)
{
    char time[200], from[NR_UTC_SIZE], to[NR_UTC_SIZE];
    size_t last = im->rows.count - 1;
    double length_min = (im->elapsed_s[last] - im->elapsed_s[0]) / 60;
    nr_imported_time(im, time, sizeof time);
    nr_utc_format(im->zero_utc_s + im->elapsed_s[0], from);
    nr_utc_format(im->zero_utc_s + im->elapsed_s[last], to);
    nr_paragraph_of(stdout, "", "%s: %zu row%s in %.4g min%s%s%s%s, time from %s.", table,
                    im->rows.count, im->rows.count == 1 ? "" : "s", length_min,
                    im->dated ? ", " : "", im->dated ? from : "", im->dated ? " to " : "",
                    im->dated ? to : "", time);
    putchar('\n');
    show_channels(im, rig);
    putchar('\n');
    for (size_t i = 0; i < im->said.count; i++)
        nr_paragraph(stdout, "  - ", im->said.text[i]);
}

/* --- with and without a rig --------------------------------------------------------------------
 */

static void stated_of(const request *q, nr_import_stated *out)
{
    *out = (nr_import_stated){.time = q->time,
                              .format = q->format,
                              .zone = q->zone,
                              .start = q->start,
                              .skip = q->skip,
                              .map = q->maps.text,
                              .maps = q->maps.count};
}

/* Drafts a rig file; *text is to be freed. */
static nr_code draft(const request *q, const char *bytes, size_t length, nr_imported *im,
                     nr_sketch *sketch, nr_err *err)
{
    nr_import_stated stated;
    stated_of(q, &stated);
    nr_code code = nr_import_table(bytes, length, q->table, &stated, im, err);
    if (code == NR_OK && q->maps.count > 0)
        code = nr_fail(err, NR_BAD, NULL, 0, "--map wants a rig file with the channel: --rig RIG");
    if (code == NR_OK)
        code = nr_sketch_rig(im, q->table, sketch, err);
    nr_imported_free(im);
    return code;
}

static nr_code work(const request *q, const char *bytes, size_t length, const nr_rig *rig,
                    const char *rig_text, size_t rig_length, const nr_sketch *sketch,
                    nr_imported *im, nr_err *err)
{
    nr_import_stated stated;
    stated_of(q, &stated);
    if (sketch) {
        stated.map = sketch->maps;
        stated.maps = sketch->channels;
    }
    nr_code code = nr_import_read(bytes, length, q->table, rig, &stated, im, err);
    if (code != NR_OK)
        return code;
    show(im, rig, q->table);
    if (q->preview) {
        puts("\nNothing was written (--preview).");
        return NR_OK;
    }
    code = nr_import_keep(q->folder, rig, rig_text, rig_length, q->table, bytes, length, im,
                          &stated, err);
    if (code == NR_OK && sketch)
        printf("\nWritten to %s, with a drafted rig file: fill in what begins with ; in\n"
               "%s/rig.ini (area and water at least), then `noonfit inspect %s`. After a change\n"
               "of channels or units: `noonlog rebuild %s`.\n",
               q->folder, q->folder, q->folder, q->folder);
    else if (code == NR_OK)
        printf("\nWritten to %s. Next: `noonfit inspect %s`.\n", q->folder, q->folder);
    return code;
}

static nr_code with_draft(const request *q, const char *bytes, size_t length, nr_imported *im,
                          nr_err *err)
{
    static nr_rig rig;
    static nr_sketch sketch; /* large */
    sketch.text = NULL;      /* of a call before: freed */
    nr_code code = draft(q, bytes, length, im, &sketch, err);
    if (code == NR_OK && (!q->folder || q->preview)) {
        fwrite(sketch.text, 1, sketch.length, stdout);
    } else if (code == NR_OK) {
        code = nr_rig_parse(sketch.text, sketch.length, "drafted rig", NR_RIG_FOR_READINGS, &rig,
                            NULL, err);
        if (code == NR_OK)
            code = work(q, bytes, length, &rig, sketch.text, sketch.length, &sketch, im, err);
    }
    free(sketch.text);
    return code;
}

static int import(const request *q)
{
    static nr_rig rig;
    static nr_imported im;
    char *bytes = NULL, *text = NULL;
    size_t length = 0, text_length = 0;
    nr_err err;
    if (nr_import_is_page(q->table)) {
        nr_code made = nr_import_page(q->table, q->folder, q->preview, &err);
        return made == NR_OK ? NR_OK : nr_cmd_failed(&err);
    }
    nr_code code = nr_file_read(q->table, NR_IMPORT_MOST_BYTES, &bytes, &length, &err);
    if (code != NR_OK)
        return nr_cmd_failed(&err);
    if (q->rig) {
        int status = nr_cmd_read_rig(q->rig, NR_RIG_FOR_READINGS, &rig, &text, &text_length);
        if (status != NR_OK) {
            free(bytes);
            return status;
        }
        code = work(q, bytes, length, &rig, text, text_length, NULL, &im, &err);
    } else {
        code = with_draft(q, bytes, length, &im, &err);
    }
    nr_imported_free(&im);
    free(bytes);
    free(text);
    return code == NR_OK ? NR_OK : nr_cmd_failed(&err);
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    request q;
    int done = parse(argc, argv, &q);
    return (nr_code)(done ? done - 1 : import(&q));
}
