/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/publish/login.h"

#include "logger/base/text.h"
#include "logger/run/file.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#define MOST_BYTES 65536

static nr_code take(nr_login *out, const char *key, const char *value, const char *path, long line,
                    nr_err *err)
{
    struct {
        const char *key;
        char *to;
        size_t size;
    } texts[] = {{"user", out->user, sizeof out->user},
                 {"password", out->password, sizeof out->password},
                 {"ca", out->ca, sizeof out->ca},
                 {"certificate", out->certificate, sizeof out->certificate},
                 {"key", out->key, sizeof out->key}};
    char shown[64];
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        if (strcmp(key, texts[i].key) != 0)
            continue;
        if (!*value)
            return nr_fail(err, NR_BAD, path, line, "%s has no value", key);
        if (!nr_copy(texts[i].to, texts[i].size, value))
            return nr_fail(err, NR_BAD, path, line, "the value of %s is too long", key);
        return NR_OK;
    }
    if (strcmp(key, "tls") == 0 && nr_parse_yes(value, &out->tls))
        return NR_OK;
    if (strcmp(key, "tls") == 0)
        return nr_fail(err, NR_BAD, path, line, "tls is yes or no");
    nr_clean(shown, sizeof shown, key, strlen(key));
    return nr_fail(err, NR_BAD, path, line,
                   "no key \"%s\"; there are user, password, tls, ca, certificate, key", shown);
}

static nr_code take_line(nr_login *out, char *text, const char *path, long line, nr_err *err)
{
    char *start = nr_trim(text);
    if (!*start || *start == '#')
        return NR_OK;
    char *equals = strchr(start, '=');
    if (!equals)
        return nr_fail(err, NR_BAD, path, line, "is no line key = value");
    *equals = '\0';
    return take(out, nr_trim(start), nr_trim(equals + 1), path, line, err);
}

static nr_code check(nr_login *out, const char *path, nr_err *err)
{
    bool client = out->certificate[0] || out->key[0];
    out->tls = out->tls || out->ca[0] || client;
    if (out->password[0] && !out->user[0])
        return nr_fail(err, NR_BAD, path, 0, "there is a password but no user");
    if (client && !(out->certificate[0] && out->key[0]))
        return nr_fail(err, NR_BAD, path, 0, "certificate and key go together");
    return NR_OK;
}

nr_code nr_login_parse(const char *text, size_t length, const char *path, nr_login *out,
                       nr_err *err)
{
    nr_code code = NR_OK;
    char line[NR_ERR_FILE + 64];
    long number = 1;
    memset(out, 0, sizeof *out);
    for (size_t at = 0; at < length && code == NR_OK; number++) {
        const char *end = memchr(text + at, '\n', length - at);
        size_t size = end ? (size_t)(end - text) - at : length - at;
        if (size >= sizeof line || memchr(text + at, '\0', size))
            return nr_fail(err, NR_BAD, path, number, "is no line key = value");
        memcpy(line, text + at, size);
        line[size] = '\0';
        at += size + 1;
        code = take_line(out, line, path, number, err);
    }
    return code == NR_OK ? check(out, path, err) : code;
}

nr_code nr_login_read(const char *path, nr_login *out, nr_err *err)
{
    char *text = NULL;
    size_t length = 0;
    struct stat about;
    nr_code code = nr_file_read(path, MOST_BYTES, &text, &length, err);
    if (code != NR_OK)
        return code;
    code = nr_login_parse(text, length, path, out, err);
    explicit_bzero(text, length);
    free(text);
    if (code == NR_OK && out->password[0] && stat(path, &about) == 0 && (about.st_mode & 077))
        code = nr_fail(err, NR_BAD, path, 0,
                       "holds a password and may be read by others; chmod 600 it first");
    return code;
}
