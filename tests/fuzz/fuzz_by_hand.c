/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/hand_rows.h"
#include "tests/fuzz/fuzz.h"

static const char rig_text[] = "[channel store]\nunit = degF\n[channel air]\nunit = degC\n"
                               "[channel own]\nunit = bells\n";

/* What is read, written again and read again is the same. */
static void promise_same(const nr_by_hand *reading)
{
    char row[512];
    nr_by_hand_list again;
    nr_err err;
    size_t n = nr_by_hand_row(reading, row, sizeof row);
    if (n == 0)
        return;
    PROMISE(row[n - 1] == '\n' && strlen(row) == n);
    PROMISE(nr_by_hand_parse(row, n, "h.csv", &again, &err) == NR_OK);
    PROMISE(again.count <= 1);
    nr_by_hand_free(&again);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static nr_rig rig;
    nr_by_hand_list list;
    nr_hand_rows rows;
    nr_err err = {0};
    PROMISE(nr_rig_parse(rig_text, sizeof rig_text - 1, "r.ini", NR_RIG_FOR_READINGS, &rig, NULL,
                         &err) == NR_OK);
    if (nr_by_hand_parse((const char *)data, size, "h.csv", &list, &err) != NR_OK) {
        promise_error(NR_BAD, &err);
        nr_by_hand_free(&list);
        return 0;
    }
    for (size_t i = 0; i < list.count; i++)
        promise_same(&list.reading[i]);
    PROMISE(nr_hand_rows_of(&list, &rig, &rows, &err) == NR_OK);
    PROMISE(rows.count <= list.count);
    for (size_t i = 1; i < rows.count; i++)
        PROMISE(rows.row[i].utc_s > rows.row[i - 1].utc_s);
    nr_hand_rows_free(&rows);
    nr_by_hand_free(&list);
    return 0;
}
