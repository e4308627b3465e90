/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The system calls by which a run is written, as a struct of functions.
 *
 * Given at creation, so that a test can hand in a disk that is full, fails or vanishes. Each
 * function behaves as the call it is named after: -1 and errno on failure.
 */
#ifndef NR_RECORD_FILES_H
#define NR_RECORD_FILES_H

#include <stdbool.h>
#include <sys/types.h>

typedef struct nr_files {
    void *context;
    int (*open)(void *context, const char *path, int flags, mode_t mode);
    ssize_t (*write_at)(void *context, int fd, const void *bytes, size_t count, off_t at);
    ssize_t (*read_at)(void *context, int fd, void *bytes, size_t count, off_t at);
    int (*sync)(void *context, int fd);
    int (*truncate)(void *context, int fd, off_t size);
    off_t (*size)(void *context, int fd);
    int (*close)(void *context, int fd);
    /* True when path still names the open file fd. */
    bool (*same)(void *context, int fd, const char *path);
} nr_files;

/* The real ones. */
extern const nr_files nr_files_system;

#endif
