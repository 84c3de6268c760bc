#!/bin/sh
# Makes models/numbers-en-us and models/encoder-en-us from nothing: sh models/training/make.sh [FOLDER FOR THE WORK]
# Needs Python 3.11 with venv, Debian's espeak-ng, flite, gcc and python3.11-dev, and
# the package registries. Hours on
# two cores; minutes of them on an accelerator, if torch finds one.
set -eu
cd "$(dirname "$0")/../.."
work=${1:-/var/tmp/calllog-training}
mkdir -p "$work"
[ -d "$work/venv" ] || python3.11 -m venv "$work/venv"
python="$work/venv/bin/python"
"$python" -m pip install --quiet -e . -r models/training/requirements.txt
"$python" -m models.training.fetch
"$python" -m models.training.plan "$work"
for bank in plan watched; do
    [ -e "$work/$bank/bank.npy" ] || "$python" -m models.training.speak "$work/$bank.jsonl" "$work/$bank"
done
"$python" -m models.training.start "$work/start.npz"
set -- --values "$work/values.json" --watch "$work/watched"
seconds="${MORE_SECONDS:-600}"
"$python" -m models.training.train "$work/plan" "$work/first.npz" "$@" \
    --start "$work/start.npz" --seconds "${FIRST_SECONDS:-200}" --body 0.07
"$python" -m models.training.train "$work/plan" "$work/more.npz" "$@" \
    --start "$work/first.npz" --seconds "$seconds" --rate 2e-3 --body 0.12
for run in 0 1; do
    "$python" -m models.training.train "$work/plan" "$work/a$run.npz" "$@" \
        --start "$work/more.npz" --seconds "$seconds" --rate 2e-3 --body 0.12 \
        --first "0.0$((3 * run))" --seed "$run"
    "$python" -m models.training.train "$work/plan" "$work/b$run.npz" "$@" \
        --start "$work/a$run.npz" --seconds "$seconds" --rate 2e-3 --body 0.12 \
        --first 0.03 --seed "1$run"
done
"$python" -m models.training.average "$work/weights.npz" "$work"/[ab][01].npz
"$python" -m models.training.export "$work/weights.npz" models/numbers-en-us
for seed in 0 1 2 3; do
    "$python" -m models.training.encode "$work/plan" "$work/encoded$seed.npz" --seed "$seed"
done
"$python" -m models.training.head models/encoder-en-us "$work"/encoded?.npz --seconds "${HEAD_SECONDS:-800}"
