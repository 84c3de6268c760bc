#!/bin/sh
# Makes models/encoder-LANGUAGE: sh models/training/make_language.sh LANGUAGE [FOLDER FOR THE WORK]
# As make.sh, whose virtual environment it uses; what a language needs beyond stands in README.md.
set -eu
cd "$(dirname "$0")/../.."
language=$1
work=${2:-/var/tmp/calllog-training}
mkdir -p "$work/$language"
[ -d "$work/venv" ] || python3.11 -m venv "$work/venv"
python="$work/venv/bin/python"
"$python" -m pip install --quiet -e . -r models/training/requirements.txt
"$python" -m models.training.fetch
"$python" -m "models.training.$language.plan" "$work/$language"
"$python" -m models.training.speak "$work/$language/plan.jsonl" "$work/$language/plan" "${SPEAK_SECONDS:-3600}"
for seed in 0 1; do
    "$python" -m models.training.encode "$work/$language/plan" "$work/$language/encoded$seed.npz" \
        --seed "$seed" --language "$language"
done
set --
for seed in 0 1 2; do
    "$python" -m models.training.head "$work/$language/head$seed" "$work/$language"/encoded?.npz \
        --language "$language" --start models/encoder-en-us/head.npz --steps "${HEAD_STEPS:-1500}" \
        --seed "$seed"
    set -- "$@" "$work/$language/head$seed/head.npz"
done
"$python" -m models.training.head "models/encoder-$language" --language "$language" --average "$@"
