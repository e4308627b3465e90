/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/said.h"

#include "logger/base/text.h"

#include <stdio.h>
#include <string.h>

void nr_import_say(nr_import_said *said, const char *format, ...)
{
    char text[2 * NR_SAID_TEXT];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    if (said->count == NR_SAID) {
        said->lost++;
        return;
    }
    nr_clean(said->text[said->count++], NR_SAID_TEXT, text, strlen(text));
}
