/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a row of a long record costs: the peaks of two lengths, less each other. */
#include "analyze/quality/passes.h"
#include "analyze/quality/quality.h"

#include "tests/unit/near.h"

#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

/* Three channels of four decimals, two times and the pump's state: two bytes each are 12, as
 * doubles they would be 41. */
#define MOST_BYTES 12.0
#define SHORT (NR_PASSES_KEPT + 60000u) /* from here on nothing else grows */
#define LONG (SHORT + 300000u)

static void check_record(size_t rows)
{
    static nr_run run;
    nr_err err;
    nr_quality *q;
    nr_readings *r = nr_readings_new();
    static const char *const name[][2] = {{"store", "degC"}, {"sun", "W_m2"}, {"flow", "L_min"}};
    for (size_t c = 0; r && c < 3; c++)
        if (nr_readings_add_column(r, name[c][0], name[c][1], &err) != NR_OK)
            _exit(1);
    if (!r || nr_readings_pack(r, &err) != NR_OK)
        _exit(1);
    for (size_t i = 0; i < rows; i++) {
        double wave = (double)(i * 7919 % 97) / 97;
        double value[] = {round(1e4 * (20 + 1e-5 * (double)i + 0.01 * wave)) / 1e4,
                          round(1e4 * (800 + wave)) / 1e4, round(1e4 * (1 + 0.1 * wave)) / 1e4};
        if (nr_readings_append(r, 1.7e9 + (double)i, (double)i, value, &err) != NR_OK)
            _exit(1);
    }
    run.readings = r;
    _exit(nr_quality_check(&run, &q, &err) == NR_OK && q->pump_source == NR_PUMP_FROM_FLOW ? 0 : 1);
}

static double peak_bytes(size_t rows)
{
    struct rusage used;
    int status;
    pid_t child = fork();
    ck_assert_int_ge(child, 0);
    if (child == 0)
        check_record(rows);
    ck_assert_int_eq(wait4(child, &status, 0, &used), child);
    ck_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0);
    return 1024.0 * (double)used.ru_maxrss;
}

/* Who watches every byte needs more of them. */
static bool watched(void)
{
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
    return true;
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer) ||                         \
    __has_feature(memory_sanitizer)
    return true;
#endif
#endif
    const char *loaded = getenv("LD_PRELOAD");
    return loaded && (strstr(loaded, "valgrind") || strstr(loaded, "vgpreload"));
}

START_TEST(bytes_of_a_row)
{
    if (watched())
        return;
    double each = (peak_bytes(LONG) - peak_bytes(SHORT)) / (LONG - SHORT);
    ck_assert_msg(each > 1 && each < MOST_BYTES, "%.1f bytes a row", each);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {bytes_of_a_row, NULL};
    return run_tests("quality_memory", tests);
}
