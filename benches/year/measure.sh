#!/bin/sh
# The years of benches/RESULTS.md: five seeds, 10 and 30 frames a day, notices of 0, 5 and 10
# open days, each as JSON into the folder that is named. Takes hours on one core; what is
# there already is not done again.
#   benches/year/measure.sh target/release/longpoint OUT
set -eu
longpoint=$1 out=$2
mkdir -p "$out"
for seed in 1 2 3 4 5; do
    for notice in 0 5 10; do
        for frames in 10 30; do
            days=250
            [ "$frames" = 30 ] && days=100
            file="$out/seed-$seed-notice-$notice-frames-$frames.json"
            [ -s "$file" ] && continue
            "$longpoint" year "$(dirname "$0")" --today 2027-01-04 --years 5 --seed "$seed" \
                --notice "$notice" --frames "$frames" --days "$days" --json > "$file.part"
            mv "$file.part" "$file"
        done
    done
done
