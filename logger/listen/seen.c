/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/listen/seen.h"

#include "logger/base/text.h"

#include <math.h>
#include <stdio.h>

nr_seen nr_seen_none(void)
{
    return (nr_seen){
        .first = NAN, .last = NAN, .first_s = NAN, .last_s = NAN, .rising = true, .each_one = true};
}

void nr_seen_number(nr_seen *s, double number, double at_s)
{
    bool none = s->numbers == 0;
    s->rising = s->rising && (none || number > s->last);
    s->each_one = s->each_one && number == floor(number) && (none || number == s->last + 1);
    s->first = none ? number : s->first;
    s->first_s = none ? at_s : s->first_s;
    s->last = number;
    s->last_s = at_s;
    s->numbers++;
}

void nr_field_name(const nr_field *field, size_t index, char name[NR_NAME])
{
    if (field->key)
        nr_clean(name, NR_NAME, field->key, field->key_length);
    else
        snprintf(name, NR_NAME, "%zu", index + 1);
}
