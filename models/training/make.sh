#!/bin/sh
# Makes models/numbers-en-us and models/encoder-en-us from nothing: sh models/training/make.sh [FOLDER FOR THE WORK]
# Needs Python 3.11 with venv, Debian's espeak-ng, flite, gcc and python3.11-dev, and
# the package registries. Hours on
# two cores; minutes of them on an accelerator, if torch finds one. AN4=FOLDER and WORDS=FOLDER name
# recordings of people that the encoder model learns on from (see models.training.recorded).
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
rm -f models/encoder-en-us/encoder.npz models/encoder-en-us/at_once.npz
for seed in 0 1 2 3; do
    "$python" -m models.training.encode "$work/plan" "$work/encoded$seed.npz" --seed "$seed"
done
"$python" -m models.training.head models/encoder-en-us "$work"/encoded?.npz --seconds "${HEAD_SECONDS:-800}"

[ -n "${AN4:-}" ] || exit 0
"$python" -m models.training.apart "$work/people"
"$python" -m models.training.recorded "$AN4" "$work/people" ${WORDS:+"$WORDS"}
"$python" -m models.training.calls "$work/people" "$work/plan" "$work/calls" --hours "${CALL_HOURS:-30}"
set --
for seed in 1 2 3; do
    "$python" -m models.training.head "$work/head$seed" "$work"/calls/*.npz --shares 4 3 3 \
        --start models/encoder-en-us/head.npz --steps 800 --rate 1e-3 --seed "$seed"
    set -- "$@" "$work/head$seed/head.npz"
done
"$python" -m models.training.head models/encoder-en-us --average models/encoder-en-us/head.npz "$@"
"$python" -m models.training.stock "$work/people" "$work/plan" "$work/stock"
set --
for seed in 1 2 3; do
    "$python" -m models.training.whole "$work/stock" "$work/whole$seed" \
        --seed "$seed" --seconds "${WHOLE_SECONDS:-390}"
    set -- "$@" "$work/whole$seed=0.2"
done
"$python" -m models.training.together "$work/together" "$@"
cp "$work/together/encoder.npz" "$work/together/head.npz" models/encoder-en-us
[ -n "${WORDS:-}" ] || exit 0
"$python" -m models.training.beside "$AN4" "$WORDS" models/encoder-en-us
