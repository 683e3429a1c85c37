#!/bin/sh
# valgrind.sh EARSHOT - a small run under valgrind: no invalid read or write, no jump on an unset value, nothing of ours lost.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
sh "$here/make-job.sh" "$work/job" 20
sed -i 's/radius_km: 4/radius_km: 1/; s/power_dbm: .20, 30./power_dbm: [20]/' "$work/job/job.yaml"
valgrind --quiet --error-exitcode=9 --leak-check=full --errors-for-leak-kinds=definite --show-leak-kinds=definite \
  --suppressions="$here/valgrind.supp" "$1" run "$work/job/job.yaml" --output "$work/out" --threads 2 --quiet
echo "valgrind has nothing to say"
