/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parts of judge share. */
#include "logger/listen/inside.h"

#include "logger/base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void nr_advise(nr_advices *out, nr_advice_weight weight, const char *code, const char *channel,
               const char *format, ...)
{
    char text[NR_ADVICE_TEXT];
    va_list args;
    if (out->count == NR_ADVICE_MOST)
        return;
    nr_advice *advice = &out->advice[out->count++];
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    advice->weight = weight;
    advice->code = code;
    nr_copy(advice->channel, sizeof advice->channel, channel);
    nr_clean(advice->text, sizeof advice->text, text, strlen(text));
}

void nr_judge_fields(const nr_heard_adapter *adapter, char *out, size_t size)
{
    size_t used = 0;
    nr_copy(out, size, "no field at all");
    for (size_t i = 0; i < adapter->keys; i++) {
        int n = snprintf(out + used, size - used, "%s%s", used ? ", " : "", adapter->key[i].name);
        if (n < 0 || used + (size_t)n >= size - 5) {
            snprintf(out + used, size - used, ", ...");
            return;
        }
        used += (size_t)n;
    }
}
