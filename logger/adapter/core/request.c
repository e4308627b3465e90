/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/core/request.h"

#define DIGITS 4

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '?';
}

static void take_letter(nr_fw_request_reader *r, char c)
{
    r->bad = r->bad || r->request.letter != 0;
    r->request.letter = c;
}

static void take_digit(nr_fw_request_reader *r, char c)
{
    r->bad = r->bad || r->request.letter == 0 || r->digits == DIGITS || r->blank;
    if (r->bad)
        return;
    r->request.number = (uint16_t)(r->request.number * 10u + (uint16_t)(c - '0'));
    r->request.has_number = true;
    r->digits++;
}

bool nr_fw_request_take(nr_fw_request_reader *r, char c, nr_fw_request *out)
{
    if (c == '\n' || c == '\r') {
        bool any = r->any;
        if (any) /* else: the second half of a line end */
            *out = r->bad ? (nr_fw_request){0} : r->request;
        *r = (nr_fw_request_reader){0};
        return any;
    }
    if (c == ' ' || c == '\t') {
        r->blank = r->digits > 0;
        return false;
    }
    r->any = true;
    if (is_letter(c))
        take_letter(r, c);
    else if (c >= '0' && c <= '9')
        take_digit(r, c);
    else
        r->bad = true;
    return false;
}
