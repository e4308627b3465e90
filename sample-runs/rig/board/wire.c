/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sample-runs/rig/board/wire.h"

#include <math.h>

/* Limits of the data sheet's AC characteristics, us. */
#define RESET_LOW 480.0
#define RESET_HIGH 480.0
#define SLOT 60.0
#define SLOT_LONGEST 120.0
#define RECOVERY 1.0
#define FEED_WITHIN 10.0
#define RESISTOR_RISE 0.5 /* 4.7 kilohm and some metres of cable */

static bool early(int i)
{
    return i % 2 == 0;
}

/* A slave samples 15..60 us after the edge, and its own zero lasts as long. */
static double slave_us(int i)
{
    return early(i) ? 15.0 : 59.0;
}

static bool measuring(const nr_wire *w)
{
    for (int i = 0; i < NR_WIRE_PROBES; i++)
        if (w->probe[i].plugged && !w->probe[i].own_supply && w->probe[i].done_us > 0)
            return true;
    return false;
}

static void pass_time(nr_wire *w, double now_us)
{
    bool fed = w->driven_high || now_us - w->rose_us <= FEED_WITHIN;
    if (!fed && measuring(w))
        w->faults.feeds++;
    for (int i = 0; i < NR_WIRE_PROBES; i++)
        nr_probe_time(&w->probe[i], now_us, fed);
}

static void fall(nr_wire *w, double now_us)
{
    double since_us = now_us - w->fell_us;
    if (now_us - w->rose_us < (w->was_reset ? RESET_HIGH : RECOVERY) ||
        (!w->was_reset && since_us < SLOT + RECOVERY))
        w->faults.slots++;
    w->fell_us = now_us;
    for (int i = 0; i < NR_WIRE_PROBES; i++) {
        nr_probe *p = &w->probe[i];
        if (p->plugged && nr_probe_sends(p, now_us) && !nr_probe_bit_out(p, now_us)) {
            w->low_from_us[i] = now_us;
            w->low_until_us[i] = now_us + slave_us(i);
        }
    }
}

static void presence(nr_wire *w, double now_us)
{
    for (int i = 0; i < NR_WIRE_PROBES; i++) {
        if (!w->probe[i].plugged)
            continue;
        nr_probe_reset(&w->probe[i]);
        w->low_from_us[i] = now_us + (early(i) ? 15.0 : 60.0);
        w->low_until_us[i] = w->low_from_us[i] + (early(i) ? 60.0 : 240.0);
    }
}

static void rise(nr_wire *w, double now_us)
{
    double low_us = now_us - w->fell_us;
    w->rose_us = now_us;
    w->was_reset = low_us >= RESET_LOW;
    if (w->was_reset) {
        presence(w, now_us);
        return;
    }
    if (low_us < 1.0 || low_us > SLOT_LONGEST || (low_us > 15.0 && low_us < SLOT))
        w->faults.pulses++;
    for (int i = 0; i < NR_WIRE_PROBES; i++)
        if (w->probe[i].plugged && !w->shorted)
            nr_probe_slot(&w->probe[i], low_us < slave_us(i), now_us);
}

void nr_wire_drive(nr_wire *w, bool low, bool high, double now_us)
{
    bool was_fed = w->driven_high;
    pass_time(w, now_us);
    w->driven_high = high;
    if (was_fed && !high) {
        w->rose_us = now_us;
        w->faults.feeds += measuring(w); /* not done yet */
    }
    if (low && !w->driven_low) {
        w->driven_low = true;
        fall(w, now_us);
    } else if (!low && w->driven_low) {
        w->driven_low = false;
        rise(w, now_us);
        if (high)
            w->rose_us = now_us;
    }
}

bool nr_wire_level(nr_wire *w, double now_us, double *until_us)
{
    bool low = w->driven_low || w->shorted;
    *until_us = INFINITY;
    if (!low && !w->driven_high && now_us < w->rose_us + RESISTOR_RISE) {
        *until_us = w->rose_us + RESISTOR_RISE;
        return false;
    }
    for (int i = 0; i < NR_WIRE_PROBES; i++) {
        double from = w->low_from_us[i], until = w->low_until_us[i];
        if (!w->probe[i].plugged || now_us >= until)
            continue;
        low = low || now_us >= from;
        *until_us = fmin(*until_us, now_us >= from ? until : from);
    }
    return !low;
}
