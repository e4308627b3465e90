/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How to show oneself to a broker: a file of lines `key = value`, '#' for a remark.
 *
 *   user = shed            password = ...
 *   tls = yes              encrypted, checked against the system's certificates
 *   ca = /etc/my-ca.pem    encrypted, checked against this authority's
 *   certificate = ...      and key = ... : the client's own, for brokers that ask for it
 *
 * A file with a password or a key in it must not be readable by others.
 */
#ifndef NR_PUBLISH_LOGIN_H
#define NR_PUBLISH_LOGIN_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct nr_login {
    char user[256], password[256];
    char ca[NR_ERR_FILE], certificate[NR_ERR_FILE], key[NR_ERR_FILE]; /* "" not given */
    bool tls;
} nr_login;

/* NR_BAD with file and line: an unknown key, a value that is too long, a file that others may
 * read. The password is in no message. */
nr_code nr_login_read(const char *path, nr_login *out, nr_err *err);

/* The same from memory; path is for messages. */
nr_code nr_login_parse(const char *text, size_t length, const char *path, nr_login *out,
                       nr_err *err);

#endif
