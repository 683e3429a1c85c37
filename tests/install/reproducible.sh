#!/bin/sh
# reproducible.sh - builds the Debian package twice, in two copies of the sources at two places: the same bytes, or what differs.
# By hand; takes two builds.
set -eu
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
SOURCE_DATE_EPOCH=$(git -C "$root" log -1 --format=%ct)
export SOURCE_DATE_EPOCH

# package FOLDER BUILD-FOLDER
package() {
  mkdir -p "$work/$1"
  git -C "$root" archive HEAD | tar -x -C "$work/$1"
  cmake -G Ninja -S "$work/$1" -B "$work/$1/$2" -DCMAKE_BUILD_TYPE=Release -DCMAKE_INSTALL_PREFIX=/usr -DES_TESTS=OFF >/dev/null
  cmake --build "$work/$1/$2" >/dev/null
  (cd "$work/$1/$2" && cpack -G DEB >/dev/null)
  cp "$work/$1/$2"/*.deb "$work/$1.deb"
}
package one build
package another/and-deeper b
cp "$work/another/and-deeper.deb" "$work/two.deb"
if cmp "$work/one.deb" "$work/two.deb"; then
  echo "the same $(wc -c <"$work/one.deb") bytes twice"
  exit 0
fi
for one in one two; do
  mkdir "$work/x$one"
  dpkg-deb -x "$work/$one.deb" "$work/x$one"
done
diff -rq "$work/xone" "$work/xtwo" || true
exit 1
