/* Rows that repeat the row before them: a port that hands out its last line again and again.
 *
 * Evidence: every channel that is recorded is exactly equal at once, although this would be rare
 * by chance. The chance of one channel to repeat is counted over the rows where not everything
 * repeats; the channels' noises are independent, so the chances multiply. */
#include "analyze/quality/parts.h"

#include <math.h>

#define CHANCE 1e-5      /* a whole row equal by chance more often than this proves nothing */
#define LEAST_CHANNELS 3 /* that have a reading in both rows */

static bool same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static bool row_repeats(const nr_quality_input *input, size_t i)
{
    size_t both = 0;
    for (int role = 0; role < NR_ROLES; role++) {
        const double *v = input->value[role];
        if (!v)
            continue;
        if (!same(v[i], v[i - 1]))
            return false;
        both += isnan(v[i]) ? 0u : 1u;
    }
    return both >= LEAST_CHANNELS;
}

/* Chance that a row equals the one before by accident. */
static double chance_of_repeat(const nr_quality_input *input, const unsigned char *equal)
{
    double chance = 1.0;
    for (int role = 0; role < NR_ROLES; role++) {
        const double *v = input->value[role];
        size_t pairs = 0, repeats = 0;
        for (size_t i = 1; v && i < input->rows; i++) {
            if (equal[i] || isnan(v[i]) || isnan(v[i - 1]))
                continue;
            pairs++;
            repeats += same(v[i], v[i - 1]);
        }
        if (pairs >= 30) /* plus one: what was never seen is not impossible */
            chance *= ((double)repeats + 1.0) / ((double)pairs + 1.0);
    }
    return chance;
}

static void mark_row(nr_quality *q, size_t row)
{
    q->duplicates++;
    for (int role = 0; role < NR_ROLES; role++)
        if (q->channel[role].value)
            nr_quality_mark(q, (nr_role)role, row, NR_BAD_DUPLICATE);
}

void nr_check_duplicates(nr_quality *q, const nr_quality_input *input, nr_quality_work *work)
{
    bool any = false;
    for (size_t i = 1; i < q->rows; i++) {
        work->equal[i] = row_repeats(input, i);
        any = any || work->equal[i];
    }
    q->freeze_from_s = NAN;
    if (!any || chance_of_repeat(input, work->equal) > CHANCE)
        return;
    for (size_t i = 1, from = 0; i < q->rows; i++) {
        if (!work->equal[i]) {
            from = i;
            continue;
        }
        mark_row(q, i);
        double frozen = input->elapsed_s[i] - input->elapsed_s[from];
        if (frozen > q->longest_freeze_s) {
            q->longest_freeze_s = frozen;
            q->freeze_from_s = input->elapsed_s[from];
        }
    }
}
