/* SPDX-License-Identifier: GPL-3.0-or-later */
/* once FILE...: the inputs a fuzzer has kept, each once through its reader, where there is no
 * fuzzer: a main for a fuzz_NAME.c that is built with any compiler (tests/long/other-cpus). The
 * bytes are put at the end of a block of their own size. */
#include "tests/fuzz/fuzz.h"

int main(int count, char **file)
{
    for (int i = 1; i < count; i++) {
        FILE *from = fopen(file[i], "rb");
        long size = from && fseek(from, 0, SEEK_END) == 0 ? ftell(from) : -1;
        uint8_t *bytes = size >= 0 ? malloc(size > 0 ? (size_t)size : 1) : NULL;
        if (!bytes) {
            perror(file[i]);
            return EXIT_FAILURE;
        }
        rewind(from);
        if (fread(bytes, 1, (size_t)size, from) != (size_t)size) {
            perror(file[i]);
            return EXIT_FAILURE;
        }
        fclose(from);
        fprintf(stderr, "%s\n", file[i]); /* the last one said is the one that broke */
        LLVMFuzzerTestOneInput(bytes, (size_t)size);
        free(bytes);
    }
    return EXIT_SUCCESS;
}
