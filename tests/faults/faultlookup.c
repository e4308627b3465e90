/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A name server that does not answer: every lookup takes five seconds and fails. */
#include <netdb.h>
#include <unistd.h>

int getaddrinfo(const char *restrict node, const char *restrict service,
                const struct addrinfo *restrict hints, struct addrinfo **restrict found)
{
    (void)node, (void)service, (void)hints, (void)found;
    sleep(5);
    return EAI_AGAIN;
}
