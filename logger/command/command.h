/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Commands and their options, said once.
 *
 * A command is a table: its words, and its options with what kind of value each takes and into
 * which member of the command's arguments it goes. From that table come the reading of the command
 * line (getopt_long underneath), --help, the synopsis of the manual page, and what the shell
 * completes.
 *
 * A new option is a row; a new command a table and its row in the program's list.
 */
#ifndef NR_COMMAND_COMMAND_H
#define NR_COMMAND_COMMAND_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum nr_option_kind {
    NR_OPTION_END = 0,
    NR_OPTION_HEADING,  /* no option: a line of --help between options */
    NR_OPTION_ON,       /* bool: true when given */
    NR_OPTION_OFF,      /* bool: false when given */
    NR_OPTION_TEXT,     /* const char *: as it stands; borrowed from argv */
    NR_OPTION_TEXTS,    /* nr_texts: the option may be given several times */
    NR_OPTION_CHOICE,   /* int: which of the words of `value`, "si|us": 1 or 2; 0: not given */
    NR_OPTION_WHOLE,    /* long within low..high: no further than 2147483647, where a long of 32
                           bits ends */
    NR_OPTION_NUMBER,   /* double within low..high, without a unit */
    NR_OPTION_QUANTITY, /* double within low..high of `unit` (base/units.h): a bare number is in
                           it, another unit of its kind may be written: 10gal */
    NR_OPTION_DURATION, /* double, seconds within low..high: 90s, 45m, 1h30m */
    NR_OPTION_OUTPUT    /* const char *: a file that the command writes; "-" none */
} nr_option_kind;

typedef struct nr_option {
    nr_option_kind kind;
    const char *name;  /* without dashes; of a heading: its text */
    const char *value; /* what stands behind it in --help: "FILE", "si|us"; NULL: nothing */
    size_t offset;     /* of its member in the struct of its group */
    const char *help;  /* wrapped to the terminal; NULL: the next row's help speaks of both */
    double low, high;
    const char *unit; /* of NR_OPTION_QUANTITY */
    char letter;      /* short form, or 0 */
    bool edits;       /* of NR_OPTION_OUTPUT: a file that is there is changed in place */
} nr_option;

/* Options that belong together, and where their struct lies in the command's arguments: groups are
 * shared by commands. */
typedef struct nr_option_group {
    const nr_option *option; /* ends with kind NR_OPTION_END; NULL: the end of the groups */
    size_t offset;
} nr_option_group;

/* For `most`. */
#define NR_ANY_NUMBER ((size_t)-1)

#define NR_TEXTS 64
typedef struct nr_texts {
    const char *text[NR_TEXTS];
    size_t count;
} nr_texts;

/* What a command takes beside options, for the shell's completion. */
typedef enum nr_word_kind {
    NR_WORD_NONE,
    NR_WORD_RUN,  /* a folder */
    NR_WORD_RIG,  /* a rig file */
    NR_WORD_PORT, /* a serial port */
    NR_WORD_FILE
} nr_word_kind;

typedef struct nr_command nr_command;
struct nr_command {
    const char *program; /* "noonfit" */
    const char *name;
    const char *arguments;         /* for the usage line: "RUN [RUN ...]"; "" none */
    const char *summary;           /* one line of the program's --help */
    const char *about;             /* paragraphs, parted by an empty line */
    const char *epilogue;          /* the same, behind the options; NULL: none */
    const char *examples;          /* whole lines, printed as they stand; NULL: none */
    const nr_option_group *groups; /* NULL: none */
    size_t least, most;            /* words beside the options */
    const char *wants;    /* said when there are fewer or more: "name at least one run folder" */
    nr_word_kind word[2]; /* of the first word, and of those that follow it */
    bool alone;           /* the program's options for every command do not go with it */
    void (*more_help)(FILE *to); /* what a table knows better, behind the options; NULL: none */
    /* argv[0] is the command's name; --help has been dealt with. Returns the exit status and fills
     * *err unless it is 0; a status with an empty text: all has been said. */
    nr_code (*run)(int argc, char **argv, nr_err *err);
};

typedef struct nr_program nr_program;
struct nr_program {
    const char *name;                 /* "noonfit" */
    const char *purpose;              /* one line */
    const char *epilogue;             /* paragraphs behind the list of commands */
    const nr_command *const *command; /* [commands] */
    size_t commands;
    /* An option with a value that every command has, and what is done with it: it is taken off the
     * command line and `around` called in the place of the command's run, with the rest. NULL:
     * none.
     */
    const nr_option *everywhere;
    nr_code (*around)(const nr_program *program, const nr_command *command, int argc, char **argv,
                      const char *value, nr_err *err);
};

/* What stands on a command line, without reading it into anything. */
typedef struct nr_found {
    const nr_option *option; /* NULL: a word */
    int index;               /* in argv */
    size_t from;             /* its value begins at argv[index] + from */
    const char *value;       /* NULL: the option takes none */
} nr_found;

/* Calls `found` for each word and option of argv[1..], in order; what is no option of the command
 * is left out. argv[0] is the command's name. */
void nr_command_scan(const nr_command *command, int argc, char **argv,
                     void (*found)(void *context, const nr_found *found), void *context);

/* What is left beside the options, in order; points into argv. */
typedef struct nr_words {
    char **word;
    size_t count;
} nr_words;

/* Reads a command line into `arguments`, which holds the defaults. NR_BAD with a sentence that
 * names the option and what would be right. */
nr_code nr_command_read(const nr_command *command, int argc, char **argv, void *arguments,
                        nr_words *words, nr_err *err);

/* A usage error: "fit: WHAT; see `noonfit fit --help`". */
nr_code nr_usage(nr_err *err, const nr_command *command, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* A temperature that was read as a text because bare numbers are in the units shown. NULL text
 * leaves *degC alone. Out of low..high degC is an error that names the unit it was read in. */
nr_code nr_temperature_option(const nr_command *command, const char *name, const char *text,
                              bool fahrenheit, double low, double high, double *degC, nr_err *err);

/* --help of one command, at most 80 columns. */
void nr_command_help(FILE *to, const nr_program *program, const nr_command *command);

/* The whole of main: picks the command, --help, --version, prints errors. Returns the exit
 * status. Two words are for scripts: `PROGRAM --complete [COMMAND]` lists what can follow, one a
 * line, and `PROGRAM --synopsis` writes the synopsis of the manual page. */
int nr_program_main(const nr_program *program, int argc, char **argv);

/* For nr_program_main. */
void nr_command_complete(FILE *to, const nr_program *program, const nr_command *command);
void nr_command_synopsis(FILE *to, const nr_program *program);

#endif
