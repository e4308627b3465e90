/* SPDX-License-Identifier: GPL-3.0-or-later */
/* libmosquitto, loaded when it is wanted: with what it brings (a TLS library) it would more than
 * double the memory of every recording, and few publish theirs.
 */
#ifndef NR_PUBLISH_LIBRARY_H
#define NR_PUBLISH_LIBRARY_H

#include "logger/base/err.h"

#include <mosquitto.h>

/* Its functions that are used. */
#define NR_MOSQUITTO(X)                                                                            \
    X(lib_init)                                                                                    \
    X(new)                                                                                         \
    X(destroy)                                                                                     \
    X(connect)                                                                                     \
    X(disconnect)                                                                                  \
    X(loop)                                                                                        \
    X(publish)                                                                                     \
    X(pub_topic_check)                                                                             \
    X(strerror)                                                                                    \
    X(connack_string)                                                                              \
    X(username_pw_set)                                                                             \
    X(tls_set)                                                                                     \
    X(connect_callback_set)                                                                        \
    X(disconnect_callback_set)                                                                     \
    X(publish_callback_set)

#define NR_MEMBER(name) __typeof__(mosquitto_##name) *name;
typedef struct nr_mosquitto {
    NR_MOSQUITTO(NR_MEMBER)
} nr_mosquitto;
#undef NR_MEMBER

/* NR_BAD, naming the package, when it is not installed. Stays loaded until the process ends. */
nr_code nr_mosquitto_load(nr_mosquitto *out, nr_err *err);

#endif
