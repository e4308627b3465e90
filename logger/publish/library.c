/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/publish/library.h"

#include <dlfcn.h>
#include <string.h>

#define LIBRARY "libmosquitto.so.1"

nr_code nr_mosquitto_load(nr_mosquitto *out, nr_err *err)
{
    void *library = dlopen(LIBRARY, RTLD_NOW | RTLD_LOCAL), *found = NULL;
    if (!library)
        return nr_fail(err, NR_BAD, NULL, 0,
                       "--mqtt needs libmosquitto, and " LIBRARY " was not found; install it with "
                       "\"sudo apt install libmosquitto1\"");
    bool whole = true;
    /* ISO C has no conversion from dlsym's result to a function; POSIX promises that this works. */
#define NR_FIND(name)                                                                              \
    found = dlsym(library, "mosquitto_" #name);                                                    \
    whole = whole && found;                                                                        \
    memcpy(&out->name, &found, sizeof found);
    NR_MOSQUITTO(NR_FIND)
#undef NR_FIND
    return whole ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, LIBRARY " is not the one that is wanted");
}
