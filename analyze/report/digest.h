/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Size and SHA-256 of a file (nettle). Used by report/ only. */
#ifndef NR_REPORT_DIGEST_H
#define NR_REPORT_DIGEST_H

#include <stdbool.h>

#define NR_DIGEST 65

/* hex: 64 lower-case digits. False when the file cannot be read; then nothing is filled. */
bool nr_file_digest(const char *path, char hex[NR_DIGEST], unsigned long long *bytes);

#endif
