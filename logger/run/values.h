/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbers of a column, read row by row, however they lie in memory.
 *
 * A short record's are an array of doubles. A long one's are packed: what is in a file is a
 * decimal, a whole number over a power of ten, and the whole numbers of a block of rows lie close
 * together; kept are the least of them and, in as few bytes as do, how far each is above it. The
 * doubles that come back are the same to the last bit: a block that would not give them back stays
 * doubles. Of numbers that grow (times) it is how far each is above a straight line.
 *
 * Read by a cursor, which keeps the two blocks last used as doubles. It is the reader's own, so
 * that several threads may read one column, each through its own.
 */
#ifndef NR_RUN_VALUES_H
#define NR_RUN_VALUES_H

#include <stdbool.h>
#include <stddef.h>

#define NR_VALUES_BLOCK 256 /* rows; a power of two */

/* Rows block * NR_VALUES_BLOCK and on, as far as there are any. */
typedef void nr_values_fill(const void *source, size_t block, double out[NR_VALUES_BLOCK]);

/* Where to read: copied freely, owns nothing. */
typedef struct nr_values {
    const double *plain;  /* or NULL, and then */
    nr_values_fill *fill; /* gives them from source; both NULL: there are none */
    const void *source;
    size_t first; /* row 0 is this one of source's */
} nr_values;

typedef struct nr_cursor {
    /* What is at hand: length rows from low on. */
    size_t low, length;
    const double *at_hand;
    nr_values of;
    size_t held[2]; /* blocks, even and odd */
    double value[2 * NR_VALUES_BLOCK];
} nr_cursor;

/* Valid as long as what `of` reads is there and does not grow. */
void nr_cursor_begin(nr_cursor *cursor, const nr_values *of);

/* The number of a row that is not at hand. */
double nr_cursor_reach(nr_cursor *cursor, size_t row);

/* The number of a row that is there. */
static inline double nr_at(nr_cursor *cursor, size_t row)
{
    size_t k = row - cursor->low;
    return k < cursor->length ? cursor->at_hand[k] : nr_cursor_reach(cursor, row);
}

/* A single one; of a packed column it costs a block. */
double nr_number(const nr_values *of, size_t row);

/* The same, from a row on. */
nr_values nr_values_from(const nr_values *of, size_t row);

static inline bool nr_values_there(const nr_values *of)
{
    return of->plain || of->fill;
}

/* --- a packed column ------------------------------------------------------------------------ */

typedef struct nr_packing {
    struct nr_packed_blocks *packed;
    size_t open_rows; /* at the end, not packed yet */
    double open[NR_VALUES_BLOCK];
} nr_packing;

/* grows: such as a time. NULL: no memory. The caller frees it, by nr_packing_free (NULL is fine).
 */
nr_packing *nr_packing_new(bool grows);
void nr_packing_free(nr_packing *p);

/* Packs what is open. False: no memory. */
bool nr_packing_close(nr_packing *p);

/* One more at the end. False: no memory. */
static inline bool nr_packing_add(nr_packing *p, double value)
{
    if (p->open_rows == NR_VALUES_BLOCK && !nr_packing_close(p))
        return false;
    p->open[p->open_rows++] = value;
    return true;
}

/* Reads p, which must outlive it. */
nr_values nr_packing_values(const nr_packing *p);

#endif
