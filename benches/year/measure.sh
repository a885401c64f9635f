#!/bin/sh
# The years of benches/RESULTS.md: five seeds, 10 and 30 frames a day, notices of 0, 5 and 10
# open days, each as JSON into the folder that is named; then `table.py` says what came of it.
# What does not hang on the notice is simulated once. What is there already is not done again.
#   benches/year/measure.sh target/release/longpoint OUT [YEARS]
set -eu
longpoint=$1 out=$2 years=${3:-5}
here=$(dirname "$0")
mkdir -p "$out"
year() { # file, then options
    file="$out/$1.json"
    shift
    [ -s "$file" ] && return
    "$longpoint" year "$here" --today 2027-01-04 --years "$years" "$@" --json > "$file.part"
    mv "$file.part" "$file"
}
for seed in 1 2 3 4 5; do
    for frames in 10 30; do
        days=250
        [ "$frames" = 30 ] && days=100
        of="seed-$seed-frames-$frames"
        year "$of" --seed "$seed" --frames "$frames" --days "$days" --notice 0
        for notice in 5 10; do
            for practice in hand-waiting plan-waiting; do
                year "$of-notice-$notice-$practice" --seed "$seed" --frames "$frames" \
                    --days "$days" --notice "$notice" --practice "$practice"
            done
        done
    done
done
python3 "$here/table.py" "$out"
