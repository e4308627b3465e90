/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bytes from the wire to a rig file to begin with: whatever came, the file that is written can be
 * read, has a channel for each field it promises, and is harmless to look at. */
#include "logger/draft/draft.h"
#include "tests/fuzz/fuzz.h"

static double now_s;

static void on_line(void *context, const nr_wire_line *line)
{
    now_s += 0.25;
    nr_draft_line(context, line, now_s);
}

static void promise_rig(const nr_draft_guess *guess, size_t channels)
{
    static char text[200000];
    static nr_rig rig;
    nr_err err = {0};
    FILE *to = fmemopen(text, sizeof text, "w");
    nr_draft_write(to, guess, "/dev/ttyUSB0", "/dev/ttyUSB0", 9600, false);
    long size = ftell(to);
    PROMISE(fclose(to) == 0 && size > 0 && size < (long)sizeof text - 1);
    for (long i = 0; i < size; i++)
        PROMISE((unsigned char)text[i] >= 0x20 || text[i] == '\n');
    nr_code code =
        nr_rig_parse(text, (size_t)size, "draft.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err);
    if (code != NR_OK)
        fprintf(stderr, "%s\n%.*s", err.text, (int)size, text);
    PROMISE(code == NR_OK && rig.channels == channels);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static nr_lines lines;
    static nr_draft draft;
    static nr_draft_guess guess;
    nr_err err = {0};
    size_t known;
    memset(&draft, 0, sizeof draft);
    now_s = 0;
    nr_lines_init(&lines);
    nr_lines_feed(&lines, (const char *)data, size, on_line, &draft);
    if (!nr_draft_readable(&draft))
        return 0;
    if (nr_draft_guess_of(&draft, &guess, &err) != NR_OK) {
        PROMISE(err.code == NR_CANNOT && err.text[0]);
        promise_clean(err.text);
        return 0;
    }
    size_t channels = nr_draft_channels(&guess, &known);
    PROMISE(known <= channels && channels <= guess.fields && guess.interval_s > 0);
    if (channels > 0)
        promise_rig(&guess, channels);
    return 0;
}
