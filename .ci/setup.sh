#!/bin/sh
# setup.sh - installs what is missing of .ci/packages. Without apt it says what to install, and stops.
# Run it by itself, or let examples/run-demo.sh and tests/run-tests.sh do so.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
wanted=$(sed -e 's/#.*//' "$here/packages" | tr -s '\n\t ' ' ')

say() { printf '%s\n' "$*" >&2; }

if ! command -v apt-get >/dev/null 2>&1 || ! command -v dpkg-query >/dev/null 2>&1; then
  # Another system: when the tools and libraries are there under other names, carry on.
  if command -v cmake >/dev/null 2>&1 && command -v ninja >/dev/null 2>&1 && command -v pkg-config >/dev/null 2>&1 &&
    pkg-config --exists gdal proj libpng cmocka yaml-0.1 jansson pangocairo libxxhash; then
    exit 0
  fi
  say "This system has no apt-get. Please install what these Debian 12 packages hold, then run this again:"
  say " $wanted"
  exit 1
fi

missing=
for package in $wanted; do
  state=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null || true)
  [ "$state" = installed ] || missing="$missing $package"
done
[ -n "$missing" ] || exit 0

as_root=
if [ "$(id -u)" -ne 0 ]; then
  if ! command -v sudo >/dev/null 2>&1; then
    say "These packages are missing, and neither root nor sudo is at hand to install them:"
    say " $missing"
    exit 1
  fi
  as_root=sudo
fi
say "Installing:$missing"
# shellcheck disable=SC2086 # a list of words
$as_root apt-get update -qq >&2
# shellcheck disable=SC2086
$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >&2
