/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tests/bench/spread/spread.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

/* Worker w of n does every n-th trial. */
static void work(size_t runs, size_t size, nr_trial trial, const void *context, size_t w, size_t n,
                 int to)
{
    unsigned char message[sizeof(size_t) + NR_SPREAD_MOST];
    for (size_t i = w; i < runs; i += n) {
        memset(message, 0, sizeof message);
        memcpy(message, &i, sizeof i);
        trial(i, context, message + sizeof i);
        ssize_t length = (ssize_t)(sizeof i + size);
        if (write(to, message, (size_t)length) != length)
            _exit(1);
    }
    _exit(0);
}

static size_t collect(int from, size_t runs, size_t size, const char *name, unsigned char *all)
{
    unsigned char message[sizeof(size_t) + NR_SPREAD_MOST];
    size_t got = 0;
    bool terminal = isatty(STDERR_FILENO);
    while (read(from, message, sizeof(size_t) + size) == (ssize_t)(sizeof(size_t) + size)) {
        size_t index;
        memcpy(&index, message, sizeof index);
        if (index < runs)
            memcpy(all + index * size, message + sizeof index, size);
        got++;
        if (terminal)
            fprintf(stderr, "\r%-20s %zu of %zu ", name, got, runs);
    }
    if (terminal)
        fprintf(stderr, "\r\033[K");
    return got;
}

bool nr_spread(size_t runs, size_t size, nr_trial trial, const void *context, const char *name,
               void *all)
{
    long cores = sysconf(_SC_NPROCESSORS_ONLN);
    size_t n = cores > 0 ? (size_t)cores : 1;
    int ends[2];
    if (size > NR_SPREAD_MOST || pipe(ends))
        return false;
    fflush(NULL);
    bool good = true;
    for (size_t w = 0; w < n && good; w++) {
        pid_t pid = fork();
        if (pid == 0) {
            close(ends[0]);
            work(runs, size, trial, context, w, n, ends[1]);
        }
        good = pid > 0;
    }
    close(ends[1]);
    size_t got = collect(ends[0], runs, size, name, all);
    close(ends[0]);
    while (wait(NULL) > 0)
        continue;
    return good && got == runs;
}
