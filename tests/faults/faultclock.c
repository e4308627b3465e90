/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clocks that are set: CLOCK_STEP names a file with two numbers, seconds to add to the wall clock
 * and seconds to add to CLOCK_BOOTTIME and the wall clock alone (a suspend: CLOCK_MONOTONIC stood
 * still meanwhile).
 */
#include <fcntl.h>
#include <stdlib.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

static void read_steps(long *step_s, long *slept_s)
{
    char text[64];
    const char *path = getenv("CLOCK_STEP");
    int fd = path ? open(path, O_RDONLY | O_CLOEXEC) : -1;
    *step_s = *slept_s = 0;
    if (fd < 0)
        return;
    ssize_t n = read(fd, text, sizeof text - 1);
    text[n > 0 ? n : 0] = '\0';
    char *end = text;
    *step_s = strtol(text, &end, 10);
    *slept_s = strtol(end, NULL, 10);
    close(fd);
}

int clock_gettime(clockid_t id, struct timespec *out)
{
    long step_s, slept_s;
    int result = (int)syscall(SYS_clock_gettime, id, out);
    if (result != 0 || (id != CLOCK_REALTIME && id != CLOCK_BOOTTIME))
        return result;
    read_steps(&step_s, &slept_s);
    out->tv_sec += slept_s + (id == CLOCK_REALTIME ? step_s : 0);
    return 0;
}
