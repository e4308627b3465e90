/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/notes.h"
#include "tests/fuzz/fuzz.h"

/* What was read can be written and reads back the same. */
static void promise_round_trip(const nr_note *note)
{
    char file[3000] = NR_NOTES_HEADER;
    size_t head = strlen(file);
    size_t row = nr_notes_row(note, file + head, sizeof file - head);
    nr_notes *again = NULL;
    PROMISE(row > 0 && row == strlen(file + head));
    PROMISE(strchr(file + head, '\n') == file + head + row - 1);
    PROMISE(nr_notes_parse(file, head + row, "again.csv", &again, NULL) == NR_OK);
    PROMISE(again->count == 1 && again->note[0].kind == note->kind);
    PROMISE(strcmp(again->note[0].text, note->text) == 0);
    nr_notes_free(again);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    nr_notes *n = NULL;
    nr_err err = {0};
    nr_code code = nr_notes_parse((const char *)data, size, "notes.csv", &n, &err);
    if (code != NR_OK) {
        promise_error(code, &err);
        PROMISE(n == NULL);
        return 0;
    }
    for (size_t i = 0; i < n->count; i++) {
        PROMISE(isfinite(n->note[i].utc_s) && isfinite(n->note[i].elapsed_s));
        promise_clean(n->note[i].text);
        promise_round_trip(&n->note[i]);
    }
    nr_notes_free(n);
    return 0;
}
