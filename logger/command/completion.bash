# SPDX-License-Identifier: GPL-3.0-or-later
# bash completion for noonlog and noonfit: the programs themselves say what can follow
# (PROGRAM --complete [COMMAND]), so that there is nothing here to forget.

_noonrun_files() { # of a kind: run rig file
    local file
    compopt -o filenames 2>/dev/null
    while IFS= read -r file; do
        case $1 in
        run) [[ -d $file || $file == *.html ]] || continue ;;
        rig) [[ -d $file || $file == *.ini ]] || continue ;;
        esac
        COMPREPLY+=("$file")
    done < <(compgen -f -- "$cur")
}

_noonrun_ports() {
    local path rest
    while read -r path rest; do
        [[ $path == /dev/* && $path == "$cur"* ]] && COMPREPLY+=("$path")
    done < <("$program" ports 2>/dev/null)
}

# What can stand for the placeholder of --help: si|us, FILE, RIG, P ...
_noonrun_value() {
    case $1 in
    *'|'*) mapfile -t COMPREPLY < <(compgen -W "${1//|/ }" -- "$cur") ;;
    RIG) _noonrun_files rig ;;
    P) _noonrun_ports ;;
    *FILE* | FOLDER) _noonrun_files file ;;
    esac
}

_noonrun() {
    local program=${COMP_WORDS[0]} command=${COMP_WORDS[1]}
    local cur=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]}
    local option value given=0 i kind=""
    local -A takes=()
    COMPREPLY=()
    if [ "$COMP_CWORD" -eq 1 ]; then
        mapfile -t COMPREPLY < <(compgen -W "$("$program" --complete 2>/dev/null)" -- "$cur")
        return
    fi
    while read -r option value; do
        takes[$option]=$value
    done < <("$program" --complete "$command" 2>/dev/null)
    if [ -n "${takes[$before]:-}" ]; then
        _noonrun_value "${takes[$before]}"
        return
    fi
    if [[ $cur == -* ]]; then
        for option in "${!takes[@]}"; do
            [[ $option == "$cur"* && $option == -* ]] && COMPREPLY+=("$option")
        done
        return
    fi
    for ((i = 2; i < COMP_CWORD; i++)); do
        [[ ${COMP_WORDS[i]} == -* || -n "${takes[${COMP_WORDS[i - 1]}]:-}" ]] || given=$((given + 1))
    done
    kind=${takes["<$((given > 0 ? 2 : 1))>"]:-}
    case $kind in
    port) _noonrun_ports ;;
    run | rig | file) _noonrun_files "$kind" ;;
    esac
}

complete -F _noonrun noonlog noonfit
