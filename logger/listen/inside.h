/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of judge: one part looks at adapters, one at channels. */
#ifndef NR_LISTEN_INSIDE_H
#define NR_LISTEN_INSIDE_H

#include "logger/listen/judge.h"

void nr_advise(nr_advices *out, nr_advice_weight weight, const char *code, const char *channel,
               const char *format, ...) __attribute__((format(printf, 5, 6)));

void nr_judge_adapter(const nr_heard *heard, size_t adapter, nr_advices *out);
void nr_judge_channel(const nr_heard *heard, size_t channel, bool us, nr_advices *out);

/* "a, b, c" of the fields an adapter's lines carry. */
void nr_judge_fields(const nr_heard_adapter *adapter, char *out, size_t size);

#endif
