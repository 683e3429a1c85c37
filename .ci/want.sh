#!/bin/sh
# want.sh PACKAGE... - installs what is missing of packages that only one check needs. 77: they cannot be had here, which is
# told; the check is then skipped.
set -eu
missing=
for package; do
  state=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null || true)
  [ "$state" = installed ] || missing="$missing $package"
done
[ -n "$missing" ] || exit 0
as_root=
[ "$(id -u)" -eq 0 ] || as_root=sudo
# shellcheck disable=SC2086 # lists of words
$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >&2 || {
  echo "cannot be installed here:$missing" >&2
  exit 77
}
