#!/bin/sh
# run.sh [BUILD] - the report in a real browser. Needs the program built; sets up chromium and playwright-core itself.
set -eu
cd "$(dirname "$0")/../.."
build=${1:-build}
work=$build/browser
mkdir -p "$work/pictures"
missing=
for program in chromium node npm; do
  command -v "$program" >/dev/null || missing="$missing $program"
done
missing=$(echo "$missing" | sed 's/ node/ nodejs/')
if [ -n "$missing" ]; then
  command -v apt-get >/dev/null || { echo "want:$missing" >&2; exit 1; }
  # shellcheck disable=SC2086
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq $missing >&2
fi
[ -d "$work/node_modules/playwright-core" ] ||
  npm install --silent --no-audit --no-fund --prefix "$work" playwright-core@1.48.2 >&2
rm -rf "$work/out"
"$build/core/cli/earshot" run tests/browser/job.yaml --output "$work/out" --quiet
NODE_PATH=$(cd "$work/node_modules" && pwd) node tests/browser/look.js "$work/out/report.html" "$work/pictures"
