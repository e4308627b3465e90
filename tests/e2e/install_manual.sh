#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# What --help says, the manual page explains and the completion offers: the same commands and the
# same options of each, in both directions. The synopsis of a page is the programs' own
# (install_manual.sh --write puts it there anew). Help fits eighty columns. The pages are sound troff.
. "$(dirname "$0")/common.bash" || exit 2
# Options named in a text on standard input, one a line, sorted.
options() {
    grep -oE -- '(^|[^A-Za-z0-9-])--?[a-z][a-z-]*' | grep -oE -- '--?[a-z-]+' |
        grep -vxE -- '--help|-h|--version' | sort -u
}

# A heading and what stands below it, up to the next one; hyphens as typed.
below() {
    awk -v heading="$2" '
        /^\.S[HS]/ { gsub(/"/, ""); inside = (index($0 " ", heading " ") == 1) }
        inside && !/^\.\\"/' "$1" | sed 's/\\-/-/g; s/\\f[RIBP]//g'
}

# What a page says of one command, with the options it shares with others. Their own options are
# mentioned there only where they hold for this one, too.
section() {
    local text
    text=$(below "$1" ".SS $2")
    echo "$text"
    [[ $text != *"WHICH RECORDS"* ]] || below "$1" ".SH WHICH RECORDS"
    [ "$2" = check ] || below "$1" ".SH MANIFESTS"
    [[ $text != *"THE DAY AND THE USE"* ]] || below "$1" ".SH THE DAY AND THE USE"
}

commands_of() {
    "$TEST_PROGRAMS/$1" --help | sed -nE "s/^  ($1 )?([a-z]+)( .*)?$/\2/p" | sort
}

commands_in_page() {
    awk '/^\.SH/ { inside = ($2 == "COMMANDS") }
        inside && /^\.SS/ { gsub(/"/, ""); print $2 }' "$1" | sort
}

# complete_words PROGRAM WORD...: what bash would offer.
complete_words() {
    local program=$1
    bash -c 'source "$1"; shift; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); COMPREPLY=()
        _noonrun; printf "%s\n" "${COMPREPLY[@]}"' - \
        "$completion" "$program" "${@:2}" | grep -vxE -- '--help|--version' | sort -u
}

same() {
    [ "$2" = "$3" ] || fail "$1: $(diff <(echo "$2") <(echo "$3"))"
}

# The lines of a page's synopsis as they stand.
raw_synopsis() {
    awk '/^\.SH/ { inside = ($2 == "SYNOPSIS"); next } inside' "$1"
}

write_synopsis() {
    local page=$TEST_SOURCE/$2/man/$1.1
    "$TEST_PROGRAMS/$1" --synopsis >"$page.synopsis"
    awk -v from="$page.synopsis" '
        /^\.SH/ { inside = ($2 == "SYNOPSIS"); print
                  if (inside) while ((getline line < from) > 0) print line
                  next }
        !inside' "$page" >"$page.new"
    mv "$page.new" "$page"
    rm "$page.synopsis"
}

check_program() {
    local program=$1 folder=$TEST_SOURCE/$2 command help said
    local page=$folder/man/$program.1
    completion=$TEST_SOURCE/logger/command/completion.bash
    same "$program: synopsis of the page (install_manual.sh --write)" \
        "$("$TEST_PROGRAMS/$program" --synopsis)" "$(raw_synopsis "$page")"
    bash -n "$completion" || fail "$completion"
    same "$program: --help < > page" "$(commands_of "$program")" "$(commands_in_page "$page")"
    same "$program: --help < > completion" "$(commands_of "$program")" \
        "$(complete_words "$program" "")"
    [ "$(commands_of "$program" | wc -l)" -ge 4 ] || fail "$program: commands not understood"
    for command in $(commands_of "$program"); do
        said=$("$TEST_PROGRAMS/$program" "$command" --help | awk 'length > 80')
        [ -z "$said" ] || fail "$program $command --help is wider than 80 columns: $said"
        help=$("$TEST_PROGRAMS/$program" "$command" --help | sed '/^Example/,$d' | options)
        [ "$("$TEST_PROGRAMS/$program" "$command" -h 2>&1)" = \
            "$("$TEST_PROGRAMS/$program" "$command" --help)" ] || fail "$program $command -h"
        same "$program $command: --help < > page" "$help" "$(section "$page" "$command" | options)"
        same "$program $command: --help < > completion" "$help" \
            "$(complete_words "$program" "$command" -)"
    done
}

check_page() {
    local said
    said=$(man --warnings -E UTF-8 -l -Tutf8 -Z "$1" 2>&1 >/dev/null)
    [ -z "$said" ] || fail "man: $said"
    said=$(mandoc -T lint -W warning "$1" 2>&1)
    [ -z "$said" ] || fail "$said"
}

if [ "${1:-}" = --write ]; then
    write_synopsis noonfit analyze/noonfit
    write_synopsis noonlog logger/noonlog
    exit
fi
check_program noonfit analyze/noonfit
same "units" "$(printf 'si\nus')" "$(complete_words noonfit fit --units "")"
check_program noonlog logger/noonlog
same "pump" "$(printf 'off\non')" "$(complete_words noonlog note run --pump o)"
for page in "$TEST_SOURCE"/logger/*/man/*.[15] "$TEST_SOURCE"/analyze/*/man/*.1; do
    check_page "$page"
done
finish
