/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows of option tables that several commands have, each with its own struct behind it: what a day,
 * a place and a use are stated by means the same everywhere, with the same limits and units. */
#ifndef NR_NOONFIT_OPTION_ROWS_H
#define NR_NOONFIT_OPTION_ROWS_H

#include "logger/command/command.h"

#define NR_ROW_TEXT(option, shown, type, member, words)                                            \
    {                                                                                              \
        .kind = NR_OPTION_TEXT, .name = option, .value = shown, .offset = offsetof(type, member),  \
        .help = words                                                                              \
    }
#define NR_ROW_NUMBER(option, shown, type, member, words, least, most)                             \
    {                                                                                              \
        .kind = NR_OPTION_NUMBER, .name = option, .value = shown,                                  \
        .offset = offsetof(type, member), .help = words, .low = least, .high = most                \
    }
#define NR_ROW_QUANTITY(option, shown, type, member, words, least, most, of_unit)                  \
    {                                                                                              \
        .kind = NR_OPTION_QUANTITY, .name = option, .value = shown,                                \
        .offset = offsetof(type, member), .help = words, .low = least, .high = most,               \
        .unit = of_unit                                                                            \
    }
#define NR_ROW_ON(option, type, member, words)                                                     \
    {                                                                                              \
        .kind = NR_OPTION_ON, .name = option, .offset = offsetof(type, member), .help = words      \
    }

/* Temperatures are texts: they are read when the units shown are known. */
#define NR_ROW_AIR(type, member) NR_ROW_TEXT("air", "T", type, member, "air")
#define NR_ROW_FROM(type, member, more)                                                            \
    NR_ROW_TEXT("from", "T", type, member, "water at the start" more)
#define NR_ROW_TO(type, member, more) NR_ROW_TEXT("to", "T", type, member, "water as wanted" more)
#define NR_ROW_SUN(type, member)                                                                   \
    NR_ROW_QUANTITY("sun", "W_m2", type, member, "irradiance in the collector's plane", 50, 1500,  \
                    "W_m2")
#define NR_ROW_WIND(type, member)                                                                  \
    NR_ROW_QUANTITY("wind", "M_S", type, member, "wind over the collector", 0, 50, "m_s")
#define NR_ROW_WATER(type, member)                                                                 \
    NR_ROW_QUANTITY("water", "KG", type, member, "other than in the record", 0.1, 10000, "kg")
#define NR_ROW_AREA(type, member)                                                                  \
    NR_ROW_QUANTITY("area", "M2", type, member, "a collector of the same build in another size",   \
                    0.01, 1000, "m2")
#define NR_ROW_STORE_LOSS(type, member)                                                            \
    NR_ROW_QUANTITY("store-loss", "W_K", type, member,                                             \
                    "the container's loss, other than in the record or the rig file", 0, 1000,     \
                    "W_K")
#define NR_ROW_EACH(type, member)                                                                  \
    NR_ROW_QUANTITY("each", "L", type, member, "this much a use (default 5 L)", 0.1, 1000, "L")
#define NR_ROW_LATITUDE(type, member, words)                                                       \
    NR_ROW_NUMBER("latitude", "DEG", type, member, words, -90, 90)
#define NR_ROW_LONGITUDE(type, member)                                                             \
    NR_ROW_NUMBER("longitude", "DEG", type, member, "east positive", -180, 180)
#define NR_ROW_TILT(type, member)                                                                  \
    NR_ROW_NUMBER("tilt", "DEG", type, member,                                                     \
                  "the plane, 0 lies flat (default: [collector] of the rig file)", 0, 90)
#define NR_ROW_AZIMUTH(type, member)                                                               \
    NR_ROW_NUMBER("azimuth", "DEG", type, member, "the plane's, clockwise from north", 0, 360)
#define NR_ROW_RE_AIMED(type, member)                                                              \
    NR_ROW_ON("re-aimed", type, member, "turned after the sun all day")
#define NR_ROW_PLOT(type, member, words)                                                           \
    {                                                                                              \
        .kind = NR_OPTION_OUTPUT, .name = "plot", .value = "FILE",                                 \
        .offset = offsetof(type, member), .help = words                                            \
    }
#define NR_ROW_OUTPUT(type, member, forms, words)                                                  \
    {                                                                                              \
        .kind = NR_OPTION_OUTPUT, .name = "output", .value = forms,                                \
        .offset = offsetof(type, member), .help = words, .letter = 'o'                             \
    }

#endif
