/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One row of adapter.log: refused, or read into a line that writes back and reads the same. */
#include "logger/record/adapter_log.h"
#include "tests/fuzz/fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static nr_logged once, twice;
    static char row[NR_ADAPTER_LOG_ROW];
    if (!nr_adapter_log_parse((const char *)data, size, &once) || once.resume)
        return 0;
    PROMISE(once.line.length > 0 && once.line.length <= NR_LINE_MAX);
    PROMISE(isfinite(once.utc_s) && isfinite(once.elapsed_s));
    PROMISE(memchr(once.adapter, 0, sizeof once.adapter) != NULL);
    if (fabs(once.elapsed_s) > 1e9)
        return 0; /* thirty years: no recorder writes it */
    size_t n =
        nr_adapter_log_row(once.utc_s, once.elapsed_s, once.adapter, &once.line, row, sizeof row);
    PROMISE(n > 1 && nr_adapter_log_parse(row, n - 1, &twice));
    PROMISE(twice.line.length == once.line.length);
    PROMISE(memcmp(twice.line.text, once.line.text, once.line.length) == 0);
    PROMISE(twice.line.first == once.line.first && twice.line.cut == once.line.cut &&
            twice.line.open == once.line.open);
    return 0;
}
