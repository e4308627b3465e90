#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# cmake --install into an empty folder: the programs run from there, every file is in a standard
# place and nobody's home or build folder is named in it; the package is made of the same files.
. "$(dirname "$0")/common.bash" || exit 2
DESTDIR=$work/root cmake --install "$TEST_PROGRAMS" --prefix /usr >"$work/log" 2>&1 || {
    cat "$work/log"
    exit 1
}
root=$work/root/usr
version=$(sed -nE 's/^project\(noonrun VERSION ([0-9.]+).*/\1/p' "$TEST_SOURCE/CMakeLists.txt")
for program in noonlog noonfit; do
    [ "$("$root/bin/$program" --version)" = "$program $version" ] || fail "$program --version"
    gzip -dc "$root/share/man/man1/$program.1.gz" | grep -q "\"Noonrun $version\"" ||
        fail "$program.1 is not of version $version"
    [ -s "$root/share/bash-completion/completions/$program" ] || fail "$program: no completion"
done
gzip -dc "$root/share/man/man5/noonrun-rig.5.gz" | grep -q "\"Noonrun $version\"" ||
    fail "noonrun-rig.5 is not of version $version"
"$root/bin/noonfit" inspect "$root/share/doc/noonrun/examples/wash-stand-glazed" >/dev/null ||
    fail "the installed example cannot be inspected"

# Where a file may be: Filesystem Hierarchy Standard 3.0, and systemd's and bash-completion's own.
allowed='bin/(noonlog|noonfit)|share/man/man[15]/[a-z-]+\.[15]\.gz'
allowed+='|share/bash-completion/completions/(noonlog|noonfit)'
allowed+='|share/doc/noonrun/[A-Za-z0-9./-]+|lib/systemd/(system|user)/[a-z@-]+\.service'
allowed+='|lib/udev/rules\.d/[0-9a-z-]+\.rules'
cd "$work/root" || exit 1
elsewhere=$(find . -type f -o -type l | grep -vxE "\./usr/($allowed)")
[ -z "$elsewhere" ] || fail "not in a standard place: $elsewhere"
[ "$(find . -type f | wc -l)" -gt 15 ] || fail "few files"
# The programs are not searched: with debug information they tell where they were built.
named=$(find . -type f -not -path './usr/bin/*' -exec grep -lE "$work|$TEST_PROGRAMS" {} +)
[ -z "$named" ] || fail "names a folder of this machine: $named"

# What the compiler can do against mistakes is in the programs (binutils' readelf tells). Not with
# sanitizers, which take another way.
if command -v readelf >/dev/null && ! readelf -Ws "$root/bin/noonlog" | grep -q __asan_init; then
    for program in noonlog noonfit; do
        elf=$(readelf -Whdln "$root/bin/$program"; readelf -Ws --dyn-syms "$root/bin/$program")
        for wanted in 'Type: *DYN' GNU_RELRO 'BIND_NOW|Flags:.* NOW' __stack_chk_fail '__[a-z]*_chk(@|$)'; do
            grep -qE "$wanted" <<<"$elf" || fail "$program: hardening: no $wanted"
        done
        ! grep -q 'GNU_STACK.*RWE' <<<"$elf" || fail "$program: its stack can be executed"
        case $(uname -m) in
        # The landing pads; whether the whole program is marked for them is the C library's doing.
        x86_64) pad=endbr64 ;;
        aarch64) pad='bti|paciasp' ;;
        *) pad=. ;;
        esac
        objdump -d --disassemble=main "$root/bin/$program" | grep -qE "$pad" || fail "$program: hardening: no $pad"
    done
fi

# The unit names the program where it was installed, and nothing is left to be filled in.
unit=$(cat "$root"/lib/systemd/system/*.service)
[[ $unit == *'"/usr/bin/noonlog" record'* && $unit != *@CMAKE* ]] || fail "unit: $unit"

# `file` is what cpack wants for the dependencies.
if command -v cpack >/dev/null && command -v dpkg-deb >/dev/null && command -v file >/dev/null; then
    (cd "$TEST_PROGRAMS" && cpack -B "$work/package") >"$work/log" 2>&1 || {
        cat "$work/log"
        exit 1
    }
    package=$(echo "$work"/package/*.deb)
    same=$(diff <(dpkg-deb -c "$package" | grep -v '/$' | sed -E 's/.* \.\//.\//' | sort) \
        <(find . -type f | sort)) || fail "package and installation differ: $same"
    depends=$(dpkg-deb -f "$package" Depends)
    for library in libc6 libgsl libcsv libjansson libnova libmodbus libnettle libserialport \
        gnuplot; do
        [[ $depends == *$library* ]] || fail "the package does not depend on $library: $depends"
    done
    dpkg-deb -x "$package" "$work/unpacked"
    diff -r "$work/unpacked/usr/lib" "$root/lib" || fail "units of the package"
    [ "$(dpkg-deb -f "$package" Version)" = "$version" ] || fail "version of the package"
    [ -z "$(dpkg-deb -c "$package" | awk '$2 != "root/root"')" ] || fail "files not of root"
fi
finish
