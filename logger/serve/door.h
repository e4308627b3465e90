/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the page is to be had, who may write, and how a telephone learns it. */
#ifndef NR_SERVE_DOOR_H
#define NR_SERVE_DOOR_H

#include "logger/base/err.h"
#include "logger/serve/request.h"

#include <stdbool.h>
#include <stdio.h>

#define NR_DOOR_URLS 4
#define NR_DOOR_URL 160

typedef struct nr_door {
    int fd; /* listening; -1 none */
    nr_gate gate;
    size_t count;
    char url[NR_DOOR_URLS]
            [NR_DOOR_URL]; /* with the token behind '#', which browsers keep to themselves */
} nr_door;

/* "127.0.0.1:8033", "[::1]:8033", "0.0.0.0:8033" (all of this computer's addresses); port 0: any
 * free one. Listens, and makes a token when others than this computer can connect. NR_BAD with what
 * is wrong. */
nr_code nr_door_open(const char *listen, nr_door *door, nr_err *err);

/* The links, and on a UTF-8 terminal the first one as a code to photograph. */
void nr_door_print(FILE *to, const nr_door *door, bool code);

void nr_door_close(nr_door *door);

#endif
