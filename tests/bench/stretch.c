/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench-stretch ROWS SECONDS < readings.csv > longer.csv: a record stretched over a time and filled
 * with rows, for measuring what rows cost; the sensors' steps and noise are put back. */
#include "logger/base/text.h"
#include "logger/base/utc.h"

#include <gsl/gsl_randist.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define CHANNELS 16
#define MOST 20000

typedef struct table {
    char header[400];
    size_t rows, channels;
    double start_s, value[CHANNELS][MOST];
} table;

static int load(table *t)
{
    char line[1000];
    if (!fgets(t->header, sizeof t->header, stdin))
        return 0;
    for (const char *p = t->header; *p; p++)
        t->channels += *p == ',';
    t->channels -= 1;
    while (t->channels <= CHANNELS && t->rows < MOST && fgets(line, sizeof line, stdin)) {
        char *rest = line, *cell = strsep(&rest, ",");
        if (!t->rows && !nr_utc_parse(cell, &t->start_s))
            return 0;
        (void)strsep(&rest, ",");
        for (size_t c = 0; c < t->channels && rest; c++)
            t->value[c][t->rows] = atof(strsep(&rest, ","));
        t->rows++;
    }
    return t->rows > 1 && t->channels <= CHANNELS;
}

int main(int argc, char **argv)
{
    static table t;
    long rows;
    double seconds;
    if (argc != 3 || !nr_parse_long(argv[1], 2, 20000000, &rows) ||
        !nr_parse_double(argv[2], &seconds) || !(seconds > 0) || !load(&t))
        return 2;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_taus2);
    fputs(t.header, stdout);
    for (long k = 0; k < rows; k++) {
        double at = (double)k / (double)rows, x = at * (double)(t.rows - 1);
        size_t i = (size_t)x;
        char utc[NR_UTC_SIZE];
        nr_utc_format(t.start_s + at * seconds, utc);
        printf("%s,%.3f", utc, 1 + at * seconds);
        for (size_t c = 0; c < t.channels; c++) {
            double v = t.value[c][i] + (x - (double)i) * (t.value[c][i + 1] - t.value[c][i]);
            double spread = c < 3 ? 0.02 : 0.002 * fabs(v) + 0.01;
            v += gsl_ran_gaussian(rng, spread);
            printf(",%.4f", c < 3 ? round(v * 16) / 16 : fmax(v, 0));
        }
        fputs("\r\n", stdout);
    }
    gsl_rng_free(rng);
    return 0;
}
