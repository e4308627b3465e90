/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/report/digest.h"

#include "logger/run/file.h"

#include <nettle/base16.h>
#include <nettle/sha2.h>
#include <stdint.h>
#include <stdio.h>

bool nr_file_digest(const char *path, char hex[NR_DIGEST], unsigned long long *bytes)
{
    uint8_t buffer[16384], digest[SHA256_DIGEST_SIZE];
    struct sha256_ctx sha;
    unsigned long long total = 0;
    FILE *f = nr_file_open(path, NULL); /* no FIFO: it would hang us */
    if (f == NULL)
        return false;
    sha256_init(&sha);
    for (size_t n; (n = fread(buffer, 1, sizeof buffer, f)) > 0; total += n)
        sha256_update(&sha, n, buffer);
    bool whole = !ferror(f);
    (void)fclose(f);
    if (!whole)
        return false;
    sha256_digest(&sha, sizeof digest, digest);
    base16_encode_update(hex, sizeof digest, digest);
    hex[NR_DIGEST - 1] = '\0';
    *bytes = total;
    return true;
}
