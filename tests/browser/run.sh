#!/bin/sh
# run.sh [BUILD] - the report in a real browser. Needs the program built; installs chromium, chromedriver and python3 where apt
# can. 77: no browser is to be had, or none starts here.
set -eu
cd "$(dirname "$0")/../.."
build=${1:-build}
work=$build/browser
mkdir -p "$work/pictures"
sh .ci/want.sh chromium chromium-driver python3
rm -rf "$work/out"
"$build/core/cli/earshot" run tests/browser/job.yaml --output "$work/out" --quiet
python3 tests/browser/look.py "$work/out/report.html" "$work/pictures"
