/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/by_hand.h"

#include "logger/base/text.h"
#include "logger/base/utc.h"
#include "logger/run/file.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#define MOST_BYTES 50000000u
#define LINE 512

/* Names of channels and units hold neither quotes nor commas (rig_check.c), so that the cells need
 * no quoting. */
static bool take_cells(char *line, nr_by_hand *out)
{
    char *cell[5], *rest = line;
    size_t n = 0;
    while (n < 5 && (cell[n] = strsep(&rest, ",")) != NULL)
        n++;
    return n == 5 && rest == NULL && nr_utc_parse(cell[0], &out->utc_s) &&
           nr_utc_parse(cell[1], &out->taken_utc_s) && cell[2][0] &&
           nr_copy(out->channel, sizeof out->channel, cell[2]) &&
           nr_parse_double(cell[3], &out->value) && nr_copy(out->unit, sizeof out->unit, cell[4]);
}

static nr_code add(nr_by_hand_list *list, size_t *room, const nr_by_hand *reading, const char *path,
                   nr_err *err)
{
    if (list->count == *room) {
        size_t more = *room ? 2 * *room : 64;
        void *grown = realloc(list->reading, more * sizeof *list->reading);
        if (!grown)
            return nr_fail(err, NR_BAD, path, 0, "not enough memory");
        list->reading = grown;
        *room = more;
    }
    list->reading[list->count++] = *reading;
    return NR_OK;
}

nr_code nr_by_hand_parse(const char *text, size_t length, const char *path, nr_by_hand_list *out,
                         nr_err *err)
{
    const char *end = text + length;
    size_t room = 0;
    long number = 0;
    *out = (nr_by_hand_list){0};
    for (const char *p = text; p < end;) {
        char line[LINE];
        nr_by_hand reading;
        const char *stop = memchr(p, '\n', (size_t)(end - p));
        size_t n = (size_t)((stop ? stop : end) - p);
        number++;
        if (n >= sizeof line)
            return nr_fail(err, NR_BAD, path, number, "the line is too long for a reading");
        memcpy(line, p, n);
        line[n] = '\0';
        p = stop ? stop + 1 : end;
        if (number == 1 && strncmp(line, NR_BY_HAND_HEADER, n) == 0)
            continue;
        if (strlen(line) == n && take_cells(nr_trim(line), &reading)) {
            nr_code code = add(out, &room, &reading, path, err);
            if (code != NR_OK)
                return code;
        } else if (n > 0) {
            out->torn = stop == NULL;
            out->damaged++; /* what a crash leaves, or a hand: the others are good all the same */
        }
    }
    return NR_OK;
}

nr_code nr_by_hand_read(const char *path, nr_by_hand_list *out, nr_err *err)
{
    char *text = NULL;
    size_t length;
    struct stat about;
    *out = (nr_by_hand_list){0};
    if (stat(path, &about) != 0 && errno == ENOENT)
        return NR_OK;
    nr_code code = nr_file_read(path, MOST_BYTES, &text, &length, err);
    if (code == NR_OK)
        code = nr_by_hand_parse(text, length, path, out, err);
    free(text);
    return code;
}

void nr_by_hand_free(nr_by_hand_list *list)
{
    free(list->reading);
    *list = (nr_by_hand_list){0};
}

size_t nr_by_hand_row(const nr_by_hand *r, char *out, size_t size)
{
    char time[NR_UTC_SIZE], taken[NR_UTC_SIZE], value[64];
    nr_utc_format(r->utc_s, time);
    nr_utc_format(r->taken_utc_s, taken);
    nr_format_number(value, sizeof value, r->value, -1);
    int n = snprintf(out, size, "%s,%s,%s,%s,%s\n", time, taken, r->channel, value, r->unit);
    return n > 0 && (size_t)n < size ? (size_t)n : 0;
}
