/* The three growing files of a run, written together, and what is said when a disk fails. */
#ifndef NR_RECORD_WRITER_H
#define NR_RECORD_WRITER_H

#include "logger/record/files.h"
#include "logger/record/sampler.h"
#include "logger/run/notes.h"
#include "logger/run/rig.h"
#include "logger/wire/lines.h"

typedef struct nr_writer nr_writer;

/* The folder must have been begun (begin.h). rig, files and sink must live as long. */
nr_code nr_writer_open(const char *folder, const nr_rig *rig, const nr_files *files,
                       const nr_sink *say, nr_writer **out, nr_err *err);

/* Each keeps its row in memory; when there is no room it is counted as lost. */
void nr_writer_line(nr_writer *w, double utc_s, double elapsed_s, const char *adapter,
                    const nr_line *line);
void nr_writer_row(nr_writer *w, const nr_sample *row);
void nr_writer_note(nr_writer *w, double utc_s, double elapsed_s, nr_note_kind kind,
                    const char *text);
void nr_writer_mark_resume(nr_writer *w);

/* Hands everything to the files, so that it survives the end of this process. */
void nr_writer_flush(nr_writer *w);

/* Has the disk confirm everything. When trouble begins or ends it is said, and its end is noted
 * (at the given time) with what was lost. True: everything is on the disk. */
bool nr_writer_sync(nr_writer *w, double utc_s, double elapsed_s);

/* "" or the present trouble in words. */
const char *nr_writer_trouble(const nr_writer *w);

/* Rows, lines and notes lost since the start. */
unsigned long nr_writer_lost(const nr_writer *w);

/* Does not sync. */
void nr_writer_close(nr_writer *w);

#endif
