/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/listen/inside.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A milliseconds counter advances by 1000 a second, give or take an adapter's poor clock. */
#define COUNTER_LOW 900.0
#define COUNTER_HIGH 1100.0
#define RATE_OFF 1.5
#define BAD_SHARE 0.02

static size_t count_char(const char *text, char c)
{
    size_t n = 0;
    for (; *text; text++)
        n += *text == c;
    return n;
}

/* Another separator than the rig's that the line is full of; NULL: none. */
static const char *other_separator(const char *line, char ours)
{
    static const struct {
        char c;
        const char *word;
    } words[] = {{',', "comma"}, {';', "semicolon"}, {'\t', "tab"}, {' ', "space"}};
    if (count_char(line, ours) > 0)
        return NULL;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (words[i].c != ours && count_char(line, words[i].c) >= 1)
            return words[i].word;
    return NULL;
}

static bool looks_like_text(const char *text)
{
    size_t odd = 0, all = strlen(text);
    for (size_t i = 0; i < all; i++)
        odd += text[i] == '?' || (unsigned char)text[i] >= 0x7f;
    return all > 0 && odd * 5 < all;
}

static nr_line_fault commonest(const nr_heard_adapter *a)
{
    nr_line_fault most = NR_LINE_GARBAGE;
    for (int f = NR_LINE_GARBAGE; f < NR_LINE_FAULTS; f++)
        if (f != NR_LINE_HALF && a->fault[f] > a->fault[most])
            most = (nr_line_fault)f;
    return most;
}

/* Lines come and none parses: why, and what to write instead. */
static void judge_unread(const nr_rig_adapter *rig, const nr_heard_adapter *a, nr_advices *out)
{
    char fields[200];
    nr_line_fault fault = commonest(a);
    const char *separator = other_separator(a->bad, rig->separator);
    nr_judge_fields(a, fields, sizeof fields);
    if (!looks_like_text(a->bad))
        nr_advise(
            out, NR_ADVICE_FAULT, "baud", "",
            "%s sends bytes but no line parses: is the speed really %d baud? Many adapters use "
            "%d.",
            a->path, rig->baud, rig->baud == 9600 ? 115200 : 9600);
    else if (fault == NR_LINE_NO_CHECKSUM)
        nr_advise(
            out, NR_ADVICE_FAULT, "checksum", "",
            "the lines of %s carry no checksum *HH and the rig asks for one: write checksum = "
            "none. \"%s\"",
            a->path, a->bad);
    else if (fault == NR_LINE_BAD_CHECKSUM)
        nr_advise(
            out, NR_ADVICE_FAULT, "checksum", "",
            "every checksum of %s is wrong: it is not the exclusive or of the characters before "
            "the '*', or the line is damaged. \"%s\"",
            a->path, a->bad);
    else if (fault == NR_LINE_NOT_PAIRS)
        nr_advise(
            out, NR_ADVICE_FAULT, "shape", "",
            "the lines of %s are values without names: write line = values, and in each channel "
            "field = its place in the line. \"%s\"",
            a->path, a->bad);
    else if (rig->line == NR_LINE_VALUES && strchr(a->bad, '='))
        nr_advise(out, NR_ADVICE_FAULT, "shape", "",
                  "the lines of %s have names: write line = pairs. \"%s\"", a->path, a->bad);
    else if (separator)
        nr_advise(
            out, NR_ADVICE_FAULT, "separator", "",
            "the fields of %s are not separated as the rig says: write separator = %s. \"%s\"",
            a->path, separator, a->bad);
    else if (fault == NR_LINE_UNKNOWN)
        nr_advise(out, NR_ADVICE_FAULT, "fields", "",
                  "the lines of %s carry %s, and no channel asks for any of them", a->path, fields);
    else
        nr_advise(out, NR_ADVICE_FAULT, "unread", "", "no line of %s gives a reading (%s). \"%s\"",
                  a->path, nr_line_fault_text(fault), a->bad);
}

/* Pairs with the wrong separator parse as one field: its value then holds the others. */
static void judge_run_together(const nr_rig_adapter *rig, const nr_heard_adapter *a,
                               nr_advices *out)
{
    const char *word = other_separator(a->good, rig->separator);
    if (rig->line == NR_LINE_PAIRS && word && count_char(a->good, '=') > 1)
        nr_advise(
            out, NR_ADVICE_FAULT, "separator", "",
            "the fields of %s are not separated as the rig says: write separator = %s. \"%s\"",
            a->path, word, a->good);
}

static void judge_rejected(const nr_heard_adapter *a, nr_advices *out)
{
    unsigned long bad = 0, good = a->fault[NR_LINE_GOOD];
    for (int f = NR_LINE_GARBAGE; f < NR_LINE_FAULTS; f++)
        bad += f == NR_LINE_HALF ? 0 : a->fault[f];
    if ((double)bad > BAD_SHARE * (double)(good + bad))
        nr_advise(out, NR_ADVICE_DOUBT, "rejected", "",
                  "%lu of %lu lines of %s gave no reading (%s): a loose or long cable, or a wrong "
                  "speed. \"%s\"",
                  bad, good + bad, a->path, nr_line_fault_text(commonest(a)), a->bad);
}

static void judge_rate(const nr_rig_adapter *rig, const nr_heard_adapter *a, nr_advices *out)
{
    unsigned long good = a->fault[NR_LINE_GOOD];
    if (good < 4)
        return;
    double interval_s = (a->last_good_s - a->first_good_s) / (double)(good - 1);
    double ratio = interval_s / rig->interval_s;
    if (ratio > RATE_OFF && rig->kind == NR_ADAPTER_MODBUS)
        nr_advise(
            out, NR_ADVICE_DOUBT, "interval", "",
            "asking all devices of %s takes %.2g s, and the rig says interval_s = %g: a device "
            "that does not answer makes all wait",
            a->path, interval_s, rig->interval_s);
    else if (ratio > RATE_OFF || ratio < 1.0 / RATE_OFF)
        nr_advise(
            out, NR_ADVICE_DOUBT, "interval", "",
            "lines of %s come every %.2g s, and the rig says interval_s = %g: write interval_s "
            "= %.2g",
            a->path, interval_s, rig->interval_s, interval_s);
}

static bool is_used(const nr_rig *rig, size_t adapter, const char *name)
{
    for (size_t c = 0; c < rig->channels; c++)
        if (nr_sampler_adapter_of(rig, &rig->channel[c]) == adapter &&
            strcmp(nr_sampler_field(rig, &rig->channel[c]), name) == 0)
            return true;
    return rig->adapter[adapter].clock == NR_CLOCK_ADAPTER &&
           strcmp(rig->adapter[adapter].clock_field, name) == 0;
}

static bool counts_milliseconds(const nr_heard_key *key)
{
    double seconds = key->seen.last_s - key->seen.first_s;
    double rate = (key->seen.last - key->seen.first) / seconds;
    return key->count >= 4 && key->seen.rising && seconds > 1.0 && rate > COUNTER_LOW &&
           rate < COUNTER_HIGH;
}

static void judge_unused(const nr_heard *heard, size_t adapter, nr_advices *out)
{
    const nr_rig *rig = heard->rig;
    const nr_heard_adapter *a = &heard->adapter[adapter];
    char list[200] = "";
    size_t used = 0;
    if (rig->adapter[adapter].kind == NR_ADAPTER_MODBUS)
        return; /* only what the rig names was asked for */
    for (size_t i = 0; i < a->keys; i++) {
        const nr_heard_key *key = &a->key[i];
        if (is_used(rig, adapter, key->name))
            continue;
        if (rig->adapter[adapter].clock == NR_CLOCK_HOST && counts_milliseconds(key)) {
            nr_advise(
                out, NR_ADVICE_NOTE, "counter", "",
                "field %s counts milliseconds: clock = adapter and clock_field = %s give times "
                "that a busy computer cannot disturb",
                key->name, key->name);
            continue;
        }
        int n = snprintf(list + used, sizeof list - used, "%s%s", used ? ", " : "", key->name);
        used = n > 0 && used + (size_t)n < sizeof list ? used + (size_t)n : used;
    }
    if (used > 0)
        nr_advise(out, NR_ADVICE_NOTE, "unused", "",
                  "the lines also carry %s%s, which no channel records",
                  rig->adapter[adapter].line == NR_LINE_VALUES ? "field " : "", list);
}

void nr_judge_adapter(const nr_heard *heard, size_t adapter, nr_advices *out)
{
    const nr_rig_adapter *rig = &heard->rig->adapter[adapter];
    const nr_heard_adapter *a = &heard->adapter[adapter];
    if (a->bytes == 0) {
        nr_advise(
            out, NR_ADVICE_FAULT, "silent", "",
            "nothing came from %s in %.0f s: is the adapter powered, is it this port (`noonlog "
            "ports`), does it send by itself?",
            a->path, heard->seconds);
        return;
    }
    unsigned long whole =
        a->lines - a->fault[NR_LINE_HALF] - a->fault[NR_LINE_COMMENT] - a->fault[NR_LINE_EMPTY];
    if (whole == 0) {
        nr_advise(out, NR_ADVICE_FAULT, "no-line", "",
                  "%lu bytes came from %s and no whole line of readings: a wrong speed (now %d "
                  "baud), or lines "
                  "further apart than %.0f s",
                  a->bytes, a->path, rig->baud, heard->seconds);
        return;
    }
    if (a->fault[NR_LINE_GOOD] == 0) {
        judge_unread(rig, a, out);
        return;
    }
    judge_run_together(rig, a, out);
    judge_rejected(a, out);
    judge_rate(rig, a, out);
    judge_unused(heard, adapter, out);
    if (a->checksum_unused)
        nr_advise(out, NR_ADVICE_NOTE, "checksum", "",
                  "the lines of %s end in a checksum: checksum = xor8 makes use of it", a->path);
}
