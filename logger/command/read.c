/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/command/command.h"

#include "logger/base/text.h"
#include "logger/base/units.h"

#include <getopt.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Most options of one command, all groups together. */
#define OPTIONS 96
/* getopt_long answers FIRST + the place in the flat list, so that no letter is met. */
#define FIRST 1000

typedef struct flat {
    const nr_command *command;
    size_t count;
    const nr_option *option[OPTIONS];
    char *group[OPTIONS]; /* the struct an option's member is in */
    struct option longs[OPTIONS + 1];
    char shorts[2 * OPTIONS + 2];
} flat;

nr_code nr_usage(nr_err *err, const nr_command *command, const char *format, ...)
{
    char what[600];
    va_list args;
    va_start(args, format);
    vsnprintf(what, sizeof what, format, args);
    va_end(args);
    return nr_fail(err, NR_BAD, NULL, 0, "%s: %s; see `%s %s --help`", command->name, what,
                   command->program, command->name);
}

static bool takes_value(const nr_option *o)
{
    return o->kind != NR_OPTION_ON && o->kind != NR_OPTION_OFF;
}

/* The groups as one list, and as getopt wants it. False: more than there is room for. */
static bool flatten(const nr_command *command, void *arguments, flat *f)
{
    char *letter = f->shorts;
    *letter++ = ':';
    for (const nr_option_group *g = command->groups; g && g->option; g++) {
        for (const nr_option *o = g->option; o->kind != NR_OPTION_END; o++) {
            if (o->kind == NR_OPTION_HEADING)
                continue;
            if (f->count == OPTIONS)
                return false;
            f->longs[f->count] =
                (struct option){o->name, takes_value(o) ? required_argument : no_argument, NULL,
                                FIRST + (int)f->count};
            f->option[f->count] = o;
            f->group[f->count++] = (char *)arguments + g->offset;
            if (o->letter) {
                *letter++ = o->letter;
                *letter = ':';
                letter += takes_value(o);
            }
        }
    }
    *letter = '\0';
    return true;
}

/* "90s", "45m", "12h": a limit as a person would write it. */
static void duration_words(double seconds, char *out, size_t size)
{
    if (seconds >= 86400 && fmod(seconds, 86400) == 0)
        snprintf(out, size, "%gd", seconds / 86400);
    else if (seconds >= 3600 && fmod(seconds, 3600) == 0)
        snprintf(out, size, "%gh", seconds / 3600);
    else if (seconds >= 60 && fmod(seconds, 60) == 0)
        snprintf(out, size, "%gm", seconds / 60);
    else
        snprintf(out, size, "%gs", seconds);
}

static nr_code take_choice(const nr_command *command, const nr_option *o, const char *given,
                           int *to, nr_err *err)
{
    const char *word = o->value;
    for (int i = 1; word; i++) {
        size_t length = strcspn(word, "|");
        if (strlen(given) == length && !strncmp(given, word, length)) {
            *to = i;
            return NR_OK;
        }
        word = word[length] ? word + length + 1 : NULL;
    }
    char words[120];
    size_t n = 0;
    for (word = o->value; *word && n + 5 < sizeof words; word++) {
        if (*word == '|')
            n += (size_t)snprintf(words + n, sizeof words - n,
                                  strchr(word + 1, '|') ? ", " : " or ");
        else
            words[n++] = *word;
    }
    words[n] = '\0';
    return nr_usage(err, command, "--%s %s: give %s", o->name, given, words);
}

static nr_code take_number(const nr_command *command, const nr_option *o, const char *given,
                           double *to, nr_err *err)
{
    double value;
    char low[32], high[32], units[80];
    bool read = o->kind == NR_OPTION_DURATION   ? nr_parse_duration(given, &value)
                : o->kind == NR_OPTION_QUANTITY ? nr_parse_quantity(given, o->unit, &value)
                                                : nr_parse_double(given, &value);
    if (read && value >= o->low && value <= o->high) {
        *to = value;
        return NR_OK;
    }
    if (o->kind == NR_OPTION_QUANTITY) {
        nr_quantity_units(o->unit, units, sizeof units);
        return nr_usage(err, command, "--%s %s: give %g to %g %s, as a number or with a unit (%s)",
                        o->name, given, o->low, o->high, o->unit, units);
    }
    if (o->kind == NR_OPTION_NUMBER)
        return nr_usage(err, command, "--%s %s: give a number from %g to %g", o->name, given,
                        o->low, o->high);
    duration_words(o->low, low, sizeof low);
    duration_words(o->high, high, sizeof high);
    return nr_usage(err, command,
                    "--%s %s: give a duration such as 90s, 45m or 1h30m, from %s to %s", o->name,
                    given, low, high);
}

static nr_code take(const nr_command *command, const nr_option *o, char *group, const char *given,
                    nr_err *err)
{
    void *to = group + o->offset;
    nr_texts *texts = to;
    switch (o->kind) {
    case NR_OPTION_ON:
    case NR_OPTION_OFF:
        *(bool *)to = o->kind == NR_OPTION_ON;
        return NR_OK;
    case NR_OPTION_TEXT:
    case NR_OPTION_OUTPUT:
        *(const char **)to = given;
        return NR_OK;
    case NR_OPTION_TEXTS:
        if (texts->count == NR_TEXTS)
            return nr_usage(err, command, "--%s: at most %d times", o->name, NR_TEXTS);
        texts->text[texts->count++] = given;
        return NR_OK;
    case NR_OPTION_CHOICE:
        return take_choice(command, o, given, to, err);
    case NR_OPTION_WHOLE:
        if (nr_parse_long(given, (long)o->low, (long)o->high, to))
            return NR_OK;
        return nr_usage(err, command, "--%s %s: give a whole number from %.0f to %.0f", o->name,
                        given, o->low, o->high);
    case NR_OPTION_NUMBER:
    case NR_OPTION_QUANTITY:
    case NR_OPTION_DURATION:
        return take_number(command, o, given, to, err);
    default:
        return NR_OK;
    }
}

/* The option getopt's answer stands for, or NULL. */
static const nr_option *found(const flat *f, int answer, size_t *at)
{
    for (*at = 0; *at < f->count; ++*at)
        if (answer == FIRST + (int)*at || (answer < FIRST && f->option[*at]->letter == answer))
            return f->option[*at];
    return NULL;
}

nr_code nr_command_read(const nr_command *command, int argc, char **argv, void *arguments,
                        nr_words *words, nr_err *err)
{
    flat f = {.command = command};
    if (!flatten(command, arguments, &f))
        return nr_fail(err, NR_BAD, NULL, 0, "%s: too many options in its table", command->name);
    opterr = 0;
    optind = 0; /* begin anew, whatever was read before */
    int answer;
    while ((answer = getopt_long(argc, argv, f.shorts, f.longs, NULL)) != -1) {
        size_t at;
        const nr_option *o = answer == ':' || answer == '?' ? NULL : found(&f, answer, &at);
        if (!o)
            return nr_usage(err, command, "%s \"%s\"",
                            answer == ':' ? "no value after" : "unknown option", argv[optind - 1]);
        nr_code code = take(command, o, f.group[at], optarg, err);
        if (code)
            return code;
    }
    *words = (nr_words){argv + optind, (size_t)(argc - optind)};
    if (words->count < command->least || words->count > command->most)
        return nr_usage(err, command, "%s", command->wants);
    return NR_OK;
}

nr_code nr_temperature_option(const nr_command *command, const char *name, const char *text,
                              bool fahrenheit, double low, double high, double *degC, nr_err *err)
{
    double value;
    if (!text)
        return NR_OK;
    if (!nr_parse_temperature(text, fahrenheit, &value))
        return nr_usage(err, command, "--%s %s: give a temperature, such as 43C or 110F", name,
                        text);
    if (value >= low && value <= high) {
        *degC = value;
        return NR_OK;
    }
    /* A bare 110 in the wrong system is the beginner's mistake. */
    double number, other;
    if (nr_parse_double(text, &number) && nr_parse_temperature(text, !fahrenheit, &other) &&
        other >= low && other <= high)
        return nr_usage(err, command, "--%s %s was read as %s; write %g%s", name, text,
                        fahrenheit ? "degF" : "degC", number, fahrenheit ? "C" : "F");
    return nr_usage(err, command, "--%s %s: give a temperature from %gC to %gC", name, text, low,
                    high);
}
