#!/bin/sh
# Times of this program, of plain NumPy and of hamopy in one run: sh tests/benches/compare.sh
#
# Needs python3 with venv, and PyPI on the first run; the environment is kept in the target
# folder. hamopy is under the GPL and no part of this project: nothing of it is copied here.
# hamopy takes most of a minute.
set -eu
cd "$(dirname "$0")/../.."
here=tests/benches
env=${CARGO_TARGET_DIR:-target}/compare-venv
if [ ! -f "$env/ready" ]; then
    python3 -m venv "$env"
    "$env/bin/pip" install --quiet hamopy==0.4.0 numpy scipy pandas matplotlib
    touch "$env/ready"
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
# One thread, as this program has.
export OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1
cargo bench --quiet --bench times -- --compare "$work"
"$env/bin/python" "$here/compare_numpy.py" "$work"
"$env/bin/python" -W ignore "$here/compare_hamopy.py" "$work"
