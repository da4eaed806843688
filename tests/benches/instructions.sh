#!/bin/sh
# Instructions of one screen, counted by callgrind: sh tests/benches/instructions.sh
#
# Two screens less one, so that the reading of tables is left out. callgrind knows AVX2 and
# no AVX-512, so this counts the AVX2 form. Needs valgrind.
set -eu
cd "$(dirname "$0")/../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
# The functions' names come with the symbols that an optimized build keeps.
program=$(cargo bench --no-run --bench times 2>&1 | sed -n 's/.*Executable.*(\(.*\))/\1/p')
count() {
    valgrind --tool=callgrind --callgrind-out-file="$work/out.$1" "$program" --screens "$1" 2>&1 |
        sed -n 's/.*Collected : //p'
}
one=$(count 1)
two=$(count 2)
echo "one screen and tables   $one instructions"
echo "one screen more         $((two - one)) instructions"
echo "for each slab-year      $(((two - one) / 3072)) instructions, draws and weights included"
echo
callgrind_annotate "$work/out.2" | sed -n '/Ir  *file:function/,$p' | head -25 | cut -c1-120
