#!/bin/sh
# smoke.sh EARSHOT.deb [MIRROR] - installs the package into a fresh Debian 12 root, runs the demo there, takes it away again.
# By hand; needs root, debootstrap, the network and some 2 GB under TMPDIR.
set -eu
package=$(realpath "$1")
mirror=${2:-http://deb.debian.org/debian}
root=$(cd "$(dirname "$0")/../.." && pwd)
command -v debootstrap >/dev/null 2>&1 || {
  echo "debootstrap is not installed"
  exit 77
}
fresh=$(mktemp -d)
trap 'umount "$fresh/proc" 2>/dev/null || true; rm -rf "$fresh"' EXIT
debootstrap --variant=minbase bookworm "$fresh" "$mirror"
mount -t proc none "$fresh/proc"
within() { env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin DEBIAN_FRONTEND=noninteractive chroot "$fresh" "$@"; }

cp "$package" "$fresh/tmp/earshot.deb"
within apt-get update -qq
within apt-get install -y -qq --no-install-recommends /tmp/earshot.deb
mkdir -p "$fresh/home/keeper"
cp -r "$root/examples" "$root/terrain-samples" "$fresh/home/keeper/"
within earshot --version
within earshot models
within earshot check /home/keeper/examples/skarn-head/job.yaml
within earshot run /home/keeper/examples/skarn-head/job.yaml --output /home/keeper/out --quiet
[ "$(wc -l <"$fresh/home/keeper/out/listeners.csv")" -gt 20 ]
ls "$fresh/home/keeper/out"/map-*.png

# An upgrade and the removal leave the user's files.
within apt-get install -y -qq --reinstall /tmp/earshot.deb
within apt-get remove -y -qq earshot
[ -s "$fresh/home/keeper/out/run.json" ]
[ ! -e "$fresh/usr/bin/earshot" ]
echo "installed, ran and removed; the user's files stay"
