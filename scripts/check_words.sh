#!/usr/bin/env bash
# Fails if the project's files hold words that have no place in them: unfinished marks, paths of one machine,
# hosts of package registries, traces of the material the idea came from. One letter of each pattern stands in
# brackets, so that this file does not match itself.
set -euo pipefail
cd "$(dirname "$0")/.."

# Files that people write. Cargo.lock names the index of each package by itself.
search() {
  grep -rHnIE --exclude-dir={.git,target,node_modules,.checks} --exclude=Cargo.lock "$@" .
}

faults=0
# refuse NAME PATTERN [OPTION]
refuse() {
  local status=0 found
  found=$(search "${@:3}" -e "$2") || status=$?
  case $status in
    0) printf '%s\nfault: %s (above)\n' "$found" "$1"; faults=$((faults + 1)) ;;
    1) ;; # nothing found
    *) echo "grep failed with $status"; exit 1 ;;
  esac
}

refuse "source material" '[s]eed[ _-]document|[t]ranscript|[y]outu\.?be' -i
refuse "unfinished mark" '\b([T]ODO|[F]IXME)\b|\b([t]odo|[u]nimplemented)!'
refuse "path of one machine" '(^|[^[:alnum:]_./-])/([w]ork|[r]oot|[h]ome)/'
hosts='[r]egistry\.(npmjs|yarnpkg)\.|[p]ypi\.org|[p]ythonhosted\.org|(static|index)\.[c]rates\.io'
refuse "host of a package registry" "$hosts|[d]eb\.debian\.org|[p]roxy\.golang\.org" -i

count=$(search -l -e '' | wc -l)
echo "$count files read, $faults kinds of unwanted words found"
[ "$count" -gt 0 ] && [ "$faults" -eq 0 ]
