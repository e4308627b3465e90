/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/port/baud.h"

#include <stddef.h>

static const struct {
    int baud;
    speed_t speed;
} rates[] = {{300, B300},       {600, B600},       {1200, B1200},      {2400, B2400},
             {4800, B4800},     {9600, B9600},     {19200, B19200},    {38400, B38400},
             {57600, B57600},   {115200, B115200}, {230400, B230400},  {460800, B460800},
             {500000, B500000}, {921600, B921600}, {1000000, B1000000}};

bool nr_baud_find(int baud, speed_t *speed)
{
    for (size_t i = 0; i < sizeof rates / sizeof rates[0]; i++) {
        if (rates[i].baud == baud) {
            *speed = rates[i].speed;
            return true;
        }
    }
    return false;
}
