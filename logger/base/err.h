/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Errors as values.
 *
 * A function that can fail returns an nr_code and, when it is not NR_OK, has filled the nr_err it
 * was given with one sentence: what is wrong and what would be right. Libraries never print and
 * never exit; the program prints the error once, at the top.
 */
#ifndef NR_BASE_ERR_H
#define NR_BASE_ERR_H

#include <stdio.h>

/* The values are the programs' exit statuses. */
typedef enum nr_code {
    NR_OK = 0,
    NR_CANNOT = 1, /* the question cannot be answered from this data; the text says why */
    NR_BAD = 2     /* bad usage, bad input, or the system refused */
} nr_code;

#define NR_ERR_TEXT 900
#define NR_ERR_FILE 512
#define NR_ERR_ASKED 64

typedef struct nr_err {
    nr_code code;
    char file[NR_ERR_FILE]; /* empty: no file is to blame */
    long line;              /* 1-based; 0: no line is to blame */
    char text[NR_ERR_TEXT]; /* one sentence, no line break; control characters already replaced */
    /* What of the question it is about, comma separated: "from,to". Whoever asked the question
     * knows how that is said, and adds it; empty: nothing. */
    char asked[NR_ERR_ASKED];
} nr_err;

/* Fills *e (which may be NULL) and returns code, so that a caller writes `return nr_fail(...)`.
 * file may be NULL; line 0 means none. Control characters in the formatted text become '?'. */
nr_code nr_fail(nr_err *e, nr_code code, const char *file, long line, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* NR_BAD because of what was asked, without a file: "air" is missing, "from,to" contradict. */
nr_code nr_fail_asked(nr_err *e, const char *asked, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Names what could be asked instead, of an error that nr_fail filled. */
void nr_err_asks(nr_err *e, const char *asked);

/* As nr_fail, and appends ": " and the words for the given errno value. */
nr_code nr_fail_errno(nr_err *e, nr_code code, const char *file, int errnum, const char *format,
                      ...) __attribute__((format(printf, 5, 6)));

/* "PROGRAM: FILE:LINE: TEXT\n"; parts that are empty are left out. */
void nr_err_print(FILE *to, const char *program, const nr_err *e);

/* Where warnings and progress of a library go; a test hands in its own. NULL write = silence.
 * The line has no line break and no control characters. */
typedef struct nr_sink {
    void (*write)(void *context, const char *line);
    void *context;
} nr_sink;

void nr_say(const nr_sink *sink, const char *format, ...) __attribute__((format(printf, 2, 3)));

#endif
