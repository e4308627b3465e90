/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench-csvpass FILE: libcsv over a file and nothing else, as the measure of what reading costs. */
#include <csv.h>

#include <stdio.h>

static void on_cell(void *cell, size_t length, void *sum)
{
    (void)cell;
    *(size_t *)sum += length;
}

static void on_row(int end, void *unused)
{
    (void)end;
    (void)unused;
}

int main(int argc, char **argv)
{
    struct csv_parser csv;
    static char bytes[65536];
    size_t n, sum = 0;
    FILE *from = argc == 2 ? fopen(argv[1], "rb") : NULL;
    if (!from || csv_init(&csv, 0))
        return 2;
    while ((n = fread(bytes, 1, sizeof bytes, from)) > 0)
        if (csv_parse(&csv, bytes, n, on_cell, on_row, &sum) != n)
            return 1;
    csv_fini(&csv, on_cell, on_row, &sum);
    csv_free(&csv);
    fclose(from);
    printf("%zu\n", sum);
    return 0;
}
