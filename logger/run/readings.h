/* SPDX-License-Identifier: GPL-3.0-or-later */
/* readings.csv: converted readings, one row a sample (RFC 4180).
 *
 * Columns time_utc, elapsed_s, then one a channel named <channel>_<unit>. An empty cell is no
 * valid reading and becomes NAN; NAN is written as an empty cell. Written are always canonical
 * units (units.h): store_degC, sun_W_m2, flow_L_min. Read is any known unit: a store_degF column
 * arrives as degC. Columns may come in any order; CRLF, a byte order mark, quotes and blank lines
 * are accepted.
 *
 * A last line without a line break that is incomplete, does not parse, or has fewer decimals in its
 * last cell than that column had before (none, when it is empty), is what a crash leaves behind: it
 * is left out and `torn` is set.
 * The same for a tail of NUL bytes (a power cut on a journalling file system). A line in the middle
 * with NUL bytes in it (pages that reached the disk in another order) is left out and counted.
 * Anywhere else the same faults are errors.
 */
#ifndef NR_RUN_READINGS_H
#define NR_RUN_READINGS_H

#include "logger/base/err.h"
#include "logger/run/rig.h"
#include "logger/run/values.h"

#include <stddef.h>

/* Thirty years: a larger elapsed_s is no time since the start of a test, and what is laid out by
 * time (blocks, gaps) may rely on it. */
#define NR_ELAPSED_MOST_S 1e9

/* A longer pause between two rows is not believed: a board without a battery clock starts in 1970,
 * or when it was last switched off, and is told the time while a recording is taken up again.
 * Elapsed time then goes on one second after the row before; the labels before it are moved to fit
 * those after it, for such a clock is never ahead. */
#define NR_PAUSE_MOST_S (7 * 86400.0)

/* In a file, where a wall clock may have got into it by such a pause: seconds since 1970, to 2100.
 */
#define NR_ELAPSED_READ_S 4.1e9

typedef struct nr_column {
    char channel[NR_NAME];
    char unit[NR_NAME];   /* as in the file's header; "" when the column has none */
    const nr_unit *known; /* the canonical unit value[] is in; NULL: unit is not in the table */
    const nr_unit *given; /* the unit values come in; NULL: not in the table */
    /* Canonical unit (units.h) if the unit is known. */
    double *value;      /* [rows]; NULL: they are packed, as those of all long files are */
    nr_packing *packed; /* or NULL; row 0 is its row `first` */
    size_t first;
} nr_column;

typedef struct nr_readings {
    size_t rows, columns;
    double *utc_s;     /* [rows] seconds since 1970; may step backwards: a clock was set */
    double *elapsed_s; /* [rows] strictly increasing; both NULL where the numbers are packed: */
    nr_packing *utc_packed, *elapsed_packed;
    size_t first;     /* row 0 is their row `first` */
    nr_packing **own; /* [owns] all that is packed, for nr_readings_free */
    size_t owns;
    bool packs;         /* once it is long */
    nr_column *column;  /* [columns] */
    bool torn;          /* the last line was incomplete and left out (a crash while writing) */
    size_t damaged;     /* lines with NUL bytes that were left out, */
    long first_damaged; /* and the first of them; 0: none */
    size_t jumps;       /* pauses that were not believed, */
    double jump_at_s;   /* elapsed_s of the row behind the first of them, */
    double jumped_s;    /* and how much all of them took away */
    size_t capacity;    /* rows there is room for */
    bool borrowed;      /* a view (folder.h): the numbers are another's */
    double last_utc_s, last_elapsed_s; /* of the last row that was appended */
} nr_readings;

/* The numbers of a table, however they lie in memory: what does not know that it made the table
 * itself reads them by these, with a cursor (values.h). */
nr_values nr_readings_utc(const nr_readings *r);
nr_values nr_readings_elapsed(const nr_readings *r);
nr_values nr_column_values(const nr_column *column);

/* Those of a channel; none where there is no such channel. */
nr_values nr_readings_values(const nr_readings *r, const char *channel);

/* Tables read from files pack from so many rows on: shorter ones are small enough as doubles, and
 * reading those is faster. */
#ifndef NR_READINGS_PACK_FROM
#define NR_READINGS_PACK_FROM 1048576
#endif

/* --- readings made in memory --------------------------------------------------------------- */

#define NR_READINGS_COLUMNS 256 /* at most */

/* An empty table; NULL: no memory. Free with nr_readings_free. */
nr_readings *nr_readings_new(void);

/* A further column, at any time: rows that are there already have no reading in it. unit as in a
 * file's header, "" for none; unit "degF" means that values come in degF and are kept in degC.
 * NR_BAD when the channel has a column, when the unit is none for a channel with a meaning, when
 * there are too many, or without memory. */
nr_code nr_readings_add_column(nr_readings *r, const char *channel, const char *unit, nr_err *err);

/* All time_utc later by so much, to the millisecond. NR_BAD without memory. */
nr_code nr_readings_move_labels(nr_readings *r, double by_s, nr_err *err);

/* The same value in every row of a column. NR_BAD without memory. */
nr_code nr_readings_fill(nr_readings *r, nr_column *column, double value, nr_err *err);

/* Packs what is there, and all that will be appended. NR_BAD without memory. */
nr_code nr_readings_pack(nr_readings *r, nr_err *err);

/* Room for so many rows, so that appending them moves nothing. */
nr_code nr_readings_reserve(nr_readings *r, size_t rows, nr_err *err);

/* A further row: value[i] of column i in the unit that the column was added with; NAN: no reading.
 * NR_BAD when elapsed_s is not after the row before or beyond NR_ELAPSED_MOST_S. */
nr_code nr_readings_append(nr_readings *r, double utc_s, double elapsed_s, const double *value,
                           nr_err *err);

/* A reading, in its column's canonical unit, with the decimals that a file keeps of it. */
double nr_readings_as_written(const nr_unit *unit, double value);

/* --- readings.csv --------------------------------------------------------------------------- */

/* Reads a file whole. Errors name file, line and column: missing header columns, a row of the
 * wrong length, a cell that is not a number, elapsed_s not increasing, no rows. */
nr_code nr_readings_read(const char *path, nr_readings **out, nr_err *err);
nr_code nr_readings_parse(const char *text, size_t length, const char *path, nr_readings **out,
                          nr_err *err);
void nr_readings_free(nr_readings *readings);

/* NULL when there is no such channel, or when its numbers are packed (nr_readings_values has them
 * in any case). The array belongs to readings. */
const double *nr_readings_channel(const nr_readings *readings, const char *channel);

/* NULL when there is no such channel: the column with its units. */
const nr_column *nr_readings_column(const nr_readings *readings, const char *channel);

/* One row or header as CSV text with CRLF-free "\n" end, for writers. Returns the length, or 0
 * when it did not fit. value[i] is rig->channel[i]'s reading in the column's unit
 * (nr_rig_column_unit: canonical); NAN = empty cell; decimals are chosen by the column's unit.
 * elapsed_s is written to the millisecond: two rows must be at least that far apart. */
size_t nr_readings_header(const nr_rig *rig, char *out, size_t size);
size_t nr_readings_row(const nr_rig *rig, double utc_s, double elapsed_s, const double *value,
                       char *out, size_t size);

#endif
