/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/values.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define BLOCK NR_VALUES_BLOCK
#define SLAB 65000               /* bytes taken from the system at a time */
#define MOST_PLACES 6            /* decimals tried; the sixth of a kelvin or a second is noise */
#define EXACT 4503599627370496.0 /* 2^52: whole numbers up to it, and their sums, are exact */
#define ROUND (1.5 * EXACT)      /* added and taken away again: rounded to a whole number */
#define FAR 2147483648.0         /* 2^31 */
#define MOST_SLOPE 16777216.0    /* 2^24: a float has it exactly */
#define AS_DOUBLES 8             /* width of a block that does not pack */

/* The highest offsets of a block with odd ones stand for what is no decimal. */
enum { IS_NAN = 0, IS_MINUS_ZERO = 1, ODD_KINDS };

typedef struct block {
    void *bytes;
    double base;          /* least offset from the line */
    float slope;          /* of the line, whole numbers a row */
    unsigned char width;  /* bytes a row: 0 (all are on the line), 1, 2, 4, AS_DOUBLES */
    unsigned char places; /* value = whole / 10^places */
    bool divided;         /* by 10^places; else times its parts */
    bool odd;
} block;

typedef struct slab {
    struct slab *next;
    size_t used;
    double bytes[SLAB / sizeof(double)]; /* aligned for any width */
} slab;

struct nr_packed_blocks {
    bool grows;
    int places; /* that did for the last block */
    size_t blocks, room;
    block *block;
    slab *slab;
};

typedef struct nr_packed_blocks packed;

/* 10^places, and 1 / 10^places in two parts: the first 26 bits of it, and the rest. */
typedef struct scale {
    double power, coarse, fine;
} scale;

static const scale scales[MOST_PLACES + 1] = {
    {1e0, 0x1.0000000000000p+0, 0},
    {1e1, 0x1.9999998000000p-4, 0x1.999999999999ap-32},
    {1e2, 0x1.47ae140000000p-7, 0x1.eb851eb851eb8p-33},
    {1e3, 0x1.0624dd0000000p-10, 0x1.78d4fdf3b645ap-37},
    {1e4, 0x1.a36e2e8000000p-14, 0x1.8e219652bd3c3p-41},
    {1e5, 0x1.4f8b588000000p-17, 0x1.c6d1e108c3f3ep-46},
    {1e6, 0x1.0c6f7a0000000p-20, 0x1.6bdb1a6d698fep-49},
};

void nr_cursor_begin(nr_cursor *cursor, const nr_values *of)
{
    cursor->of = *of;
    cursor->low = 0;
    cursor->length = of->plain ? SIZE_MAX : 0;
    cursor->at_hand = of->plain;
    cursor->held[0] = cursor->held[1] = SIZE_MAX;
}

double nr_cursor_reach(nr_cursor *c, size_t row)
{
    size_t source_row = row + c->of.first, at = source_row / BLOCK;
    if (c->held[at % 2] != at) {
        c->of.fill(c->of.source, at, c->value + at % 2 * BLOCK);
        c->held[at % 2] = at;
    }
    /* An even block and the odd one behind it lie side by side. */
    bool both = c->held[0] != SIZE_MAX && c->held[1] == c->held[0] + 1;
    size_t begin = (both ? c->held[0] : at) * BLOCK, length = both ? 2 * BLOCK : BLOCK;
    size_t before = begin < c->of.first ? c->of.first - begin : 0; /* rows that are not ours */
    c->low = begin + before - c->of.first;
    c->length = length - before;
    c->at_hand = c->value + begin % (2 * BLOCK) + before;
    return c->at_hand[row - c->low];
}

double nr_number(const nr_values *of, size_t row)
{
    nr_cursor cursor;
    nr_cursor_begin(&cursor, of);
    return nr_at(&cursor, row);
}

nr_values nr_values_from(const nr_values *of, size_t row)
{
    nr_values rest = *of;
    if (rest.plain)
        rest.plain += row;
    else
        rest.first += row;
    return rest;
}

nr_packing *nr_packing_new(bool grows)
{
    nr_packing *p = calloc(1, sizeof *p);
    packed *of = p ? calloc(1, sizeof *of) : NULL;
    if (!of) {
        free(p);
        return NULL;
    }
    of->grows = grows;
    p->packed = of;
    return p;
}

void nr_packing_free(nr_packing *p)
{
    if (!p)
        return;
    for (slab *s = p->packed->slab, *next; s; s = next) {
        next = s->next;
        free(s);
    }
    free(p->packed->block);
    free(p->packed);
    free(p);
}

/* --- packing */

static void *room_for(packed *p, size_t bytes)
{
    size_t count = (bytes + sizeof(double) - 1) / sizeof(double);
    if (!p->slab || p->slab->used + count > SLAB / sizeof(double)) {
        slab *fresh = malloc(sizeof *fresh);
        if (!fresh)
            return NULL;
        fresh->next = p->slab;
        fresh->used = 0;
        p->slab = fresh;
    }
    double *room = p->slab->bytes + p->slab->used;
    p->slab->used += count;
    return room;
}

static bool same_bits(const double *a, const double *b, size_t count)
{
    return memcmp(a, b, count * sizeof *a) == 0;
}

/* A division is dear: a whole number below 2^26 times the two halves of 1 / 10^places, the first of
 * 26 bits, is rounded once, and mostly the same; where it is not, it is divided. */
static double decimal(double whole, const scale *s)
{
    return whole * s->coarse + whole * s->fine;
}

/* The whole numbers of decimals that all come back. */
static bool all_whole(const double *value, const scale *s, double *whole, bool *divided)
{
    double back[BLOCK];
    size_t large = 0;
    for (int i = 0; i < BLOCK; i++)
        whole[i] = value[i] * s->power + ROUND;
    for (int i = 0; i < BLOCK; i++)
        whole[i] -= ROUND;
    for (int i = 0; i < BLOCK; i++)
        large += !(fabs(whole[i]) < EXACT);
    if (large > 0)
        return false;
    for (int i = 0; i < BLOCK; i++)
        back[i] = decimal(whole[i], s);
    *divided = !same_bits(back, value, BLOCK);
    for (int i = 0; *divided && i < BLOCK; i++)
        back[i] = whole[i] / s->power;
    return !*divided || same_bits(back, value, BLOCK);
}

static bool is_odd(double value)
{
    return isnan(value) || (value == 0 && signbit(value));
}

/* The same with odd ones between them, which are as the one before. */
static bool whole_of(const double *value, const scale *s, double *whole, block *b)
{
    double even[BLOCK], last = 0;
    if (all_whole(value, s, whole, &b->divided))
        return true;
    b->odd = false;
    for (int i = 0; i < BLOCK; i++) {
        b->odd = b->odd || is_odd(value[i]);
        last = even[i] = is_odd(value[i]) ? last : value[i];
    }
    return b->odd && all_whole(even, s, whole, &b->divided);
}

/* Offsets above the line, of which the least is 0; returns the largest. */
static double offsets(const packed *p, const double *whole, block *b, uint32_t *offset)
{
    double slope = p->grows ? round((whole[BLOCK - 1] - whole[0]) / (BLOCK - 1)) : 0;
    slope = fabs(slope) < MOST_SLOPE ? slope : 0;
    int32_t above[BLOCK], least = 0, most = 0;
    size_t far = 0;
    for (int i = 0; i < BLOCK; i++)
        far += !(fabs(whole[i] - whole[0] - slope * i) < FAR);
    if (far > 0)
        return INFINITY;
    for (int i = 0; i < BLOCK; i++)
        above[i] = (int32_t)(whole[i] - whole[0] - slope * i);
    for (int i = 0; i < BLOCK; i++)
        least = above[i] < least ? above[i] : least;
    for (int i = 0; i < BLOCK; i++)
        most = above[i] > most ? above[i] : most;
    for (int i = 0; i < BLOCK; i++)
        offset[i] = (uint32_t)above[i] - (uint32_t)least;
    b->base = whole[0] + least;
    b->slope = (float)slope;
    return (double)most - least;
}

static uint32_t top_of(size_t width)
{
    return width == 1 ? UINT8_MAX : width == 2 ? UINT16_MAX : UINT32_MAX;
}

static size_t width_for(double largest, bool odd)
{
    if (largest <= 0 && !odd)
        return 0;
    for (size_t width = 1; width <= 4; width *= 2)
        if (largest <= (double)top_of(width) - (odd ? ODD_KINDS : 0))
            return width;
    return AS_DOUBLES;
}

static void write_offsets(block *b, const uint32_t *offset)
{
    uint8_t *one = b->bytes;
    uint16_t *two = b->bytes;
    for (int i = 0; b->width == 1 && i < BLOCK; i++)
        one[i] = (uint8_t)offset[i];
    for (int i = 0; b->width == 2 && i < BLOCK; i++)
        two[i] = (uint16_t)offset[i];
    if (b->width == 4)
        memcpy(b->bytes, offset, BLOCK * sizeof *offset);
}

static uint32_t read_offset(const block *b, int row)
{
    return b->width == 1   ? ((const uint8_t *)b->bytes)[row]
           : b->width == 2 ? ((const uint16_t *)b->bytes)[row]
                           : ((const uint32_t *)b->bytes)[row];
}

/* False: no memory. */
static bool pack(packed *p, block *b, const double *value)
{
    double whole[BLOCK];
    uint32_t offset[BLOCK];
    bool packs = false;
    *b = (block){.bytes = NULL};
    for (int k = 0; k <= MOST_PLACES && !packs; k++) { /* first as many as did for the last block */
        b->places = (unsigned char)((p->places + k) % (MOST_PLACES + 1));
        packs = whole_of(value, &scales[b->places], whole, b);
    }
    size_t width = packs ? width_for(offsets(p, whole, b, offset), b->odd) : AS_DOUBLES;
    b->width = (unsigned char)width;
    b->bytes = width ? room_for(p, width * BLOCK) : NULL;
    if (width && !b->bytes)
        return false;
    if (width == AS_DOUBLES) {
        memcpy(b->bytes, value, BLOCK * sizeof *value);
        return true;
    }
    p->places = b->places;
    for (int i = 0; b->odd && i < BLOCK; i++)
        if (is_odd(value[i]))
            offset[i] = top_of(width) - (isnan(value[i]) ? IS_NAN : IS_MINUS_ZERO);
    write_offsets(b, offset);
    return true;
}

bool nr_packing_close(nr_packing *open)
{
    packed *p = open->packed;
    if (p->blocks == p->room) {
        size_t room = p->room ? 2 * p->room : 64;
        block *more = realloc(p->block, room * sizeof *more);
        if (!more)
            return false;
        p->block = more;
        p->room = room;
    }
    if (!pack(p, &p->block[p->blocks], open->open))
        return false;
    p->blocks++;
    open->open_rows = 0;
    return true;
}

/* --- and back */

static void unpack_odd(const block *b, double *out)
{
    uint32_t top = top_of(b->width);
    for (int i = 0; i < BLOCK; i++) {
        uint32_t offset = read_offset(b, i);
        if (offset == top - IS_NAN)
            out[i] = NAN;
        else if (offset == top - IS_MINUS_ZERO)
            out[i] = -0.0;
    }
}

/* The constants make a loop of its own of each of the kinds below. */
static inline void unpack_as(const block *b, double *out, int width, bool sloped)
{
    const uint8_t *one = b->bytes;
    const uint16_t *two = b->bytes;
    const scale s = scales[b->places];
    double base = b->base, slope = (double)b->slope;
    for (int i = 0; i < BLOCK; i++) {
        double whole = base + (width == 1 ? one[i] : width == 2 ? two[i] : 0);
        out[i] = decimal(sloped ? whole + slope * i : whole, &s);
    }
}

/* The others are few. */
static void unpack_slowly(const block *b, double *out)
{
    const scale s = scales[b->places];
    for (int i = 0; i < BLOCK; i++) {
        double whole = b->base + (b->width ? (double)read_offset(b, i) : 0);
        whole += (double)b->slope * i;
        out[i] = b->divided ? whole / s.power : decimal(whole, &s);
    }
}

static void unpack_block(const block *b, double *out)
{
    bool sloped = b->slope < 0 || b->slope > 0;
    if (b->divided || b->width == 4)
        unpack_slowly(b, out);
    else if (b->width == 1)
        sloped ? unpack_as(b, out, 1, true) : unpack_as(b, out, 1, false);
    else if (b->width == 2)
        sloped ? unpack_as(b, out, 2, true) : unpack_as(b, out, 2, false);
    else
        unpack_as(b, out, 0, true);
    if (b->odd)
        unpack_odd(b, out);
}

static void unpack(const void *source, size_t at, double *out)
{
    const nr_packing *open = source;
    const packed *p = open->packed;
    if (at == p->blocks)
        memcpy(out, open->open, open->open_rows * sizeof *out);
    else if (p->block[at].width == AS_DOUBLES)
        memcpy(out, p->block[at].bytes, BLOCK * sizeof *out);
    else
        unpack_block(&p->block[at], out);
}

nr_values nr_packing_values(const nr_packing *p)
{
    return (nr_values){.fill = unpack, .source = p};
}
