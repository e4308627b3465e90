/* SPDX-License-Identifier: GPL-3.0-or-later */
/* adapter.log: the adapter's lines as they came, with their arrival time.
 *
 * One line a line, four columns between tabs: time_utc, elapsed_s (the host's, not the series'),
 * the adapter's name ("-" for the plain [adapter]), the line itself. So that the file can be
 * shown and read back exactly, a byte of the line that is no printable ASCII character is written
 * \xHH and a backslash is doubled. Marks at the end say what is special: "\^" the first line after
 * the port was opened (its beginning may be missing), "\+" an over-long line that was cut, "\-" a
 * line whose end never came (the port was lost in the middle of it).
 *
 * A line that starts with '#' is the recorder's: "# resume" where a recording was taken up again
 * and everything the recorder knew of the adapters begins anew.
 */
#ifndef NR_RECORD_ADAPTER_LOG_H
#define NR_RECORD_ADAPTER_LOG_H

#include "logger/run/rig.h"
#include "logger/wire/lines.h"

#define NR_ADAPTER_LOG_HEADER                                                                      \
    "# time_utc, elapsed_s of the host, adapter, line as it came (\\xHH: an unprintable byte)\n"
#define NR_ADAPTER_LOG_RESUME "# resume\n"
/* Holds any row. */
#define NR_ADAPTER_LOG_ROW (NR_LINE_MAX * 4 + NR_NAME + 96)

typedef struct nr_logged {
    double utc_s, elapsed_s;
    char adapter[NR_NAME]; /* "" for the plain [adapter] */
    nr_wire_line line;     /* text points into `text` */
    bool resume;           /* the marker; nothing else is set */
    char text[NR_LINE_MAX];
} nr_logged;

/* Returns the length written to out (size >= NR_ADAPTER_LOG_ROW). */
size_t nr_adapter_log_row(double utc_s, double elapsed_s, const char *adapter,
                          const nr_wire_line *line, char *out, size_t size);

/* Reads one row (no line end). False: not a row (a comment, or damaged). */
bool nr_adapter_log_parse(const char *row, size_t length, nr_logged *out);

#endif
