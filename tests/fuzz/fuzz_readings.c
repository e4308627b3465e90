/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/readings.h"
#include "tests/fuzz/fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    nr_readings *r = NULL;
    nr_err err = {0};
    nr_code code = nr_readings_parse((const char *)data, size, "r.csv", &r, &err);
    if (code != NR_OK) {
        promise_error(code, &err);
        PROMISE(r == NULL);
        return 0;
    }
    PROMISE(r->rows > 0);
    for (size_t i = 0; i < r->rows; i++) {
        PROMISE(isfinite(r->utc_s[i]) && isfinite(r->elapsed_s[i]));
        PROMISE(i == 0 || r->elapsed_s[i] > r->elapsed_s[i - 1]);
    }
    for (size_t c = 0; c < r->columns; c++) {
        promise_clean(r->column[c].channel);
        promise_clean(r->column[c].unit);
        PROMISE(nr_readings_channel(r, r->column[c].channel) == r->column[c].value);
        for (size_t i = 0; i < r->rows; i++)
            PROMISE(!isinf(r->column[c].value[i]));
    }
    nr_readings_free(r);
    return 0;
}
