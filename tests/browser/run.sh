#!/bin/sh
# run.sh [BUILD] - the report in a real browser. Needs the program built; installs chromium, chromedriver and python3 where apt
# can. 77: there is no browser to be had here.
set -eu
cd "$(dirname "$0")/../.."
build=${1:-build}
work=$build/browser
mkdir -p "$work/pictures"
missing=
command -v chromium >/dev/null || missing="$missing chromium"
command -v chromedriver >/dev/null || missing="$missing chromium-driver"
command -v python3 >/dev/null || missing="$missing python3"
if [ -n "$missing" ]; then
  as_root=
  [ "$(id -u)" -eq 0 ] || as_root=sudo
  # shellcheck disable=SC2086 # lists of words
  if ! command -v apt-get >/dev/null || ! $as_root env DEBIAN_FRONTEND=noninteractive \
    apt-get install -y -qq --no-install-recommends $missing >&2; then
    echo "no browser here: want$missing" >&2
    exit 77
  fi
fi
rm -rf "$work/out"
"$build/core/cli/earshot" run tests/browser/job.yaml --output "$work/out" --quiet
python3 tests/browser/look.py "$work/out/report.html" "$work/pictures"
