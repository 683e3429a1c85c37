#!/bin/sh
# prepare.sh - real ground for the example: southern Colorado from Debian's package libncarg-data (BSD, UCAR).
# The package is fetched and unpacked here, not installed: no root needed. The file holds feet and no CRS; it becomes two
# tiles of one degree in metres, with the shared column in both.
set -eu
cd "$(dirname "$0")"
mkdir -p ground
if [ -f ground/N37W106.hgt ] && [ -f ground/N37W105.hgt ]; then
  exit 0
fi
if ! command -v gdal_translate >/dev/null 2>&1; then
  echo "gdal_translate is missing: install Debian's gdal-bin" >&2
  exit 1
fi
if [ ! -f trinidad.nc ] && ! command -v apt-get >/dev/null 2>&1; then
  echo "This system has no apt-get: put trinidad.nc of Debian's libncarg-data beside this script, and run it again" >&2
  exit 1
fi

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
if [ -f trinidad.nc ]; then
  cp trinidad.nc "$work/"
else
  chmod 755 "$work"
  fetch() { (cd "$work" && apt-get download -q -o APT::Sandbox::User=root libncarg-data >&2); }
  fetch || { [ "$(id -u)" -eq 0 ] && apt-get update -qq >&2 && fetch; } || {
    echo "apt-get could not fetch libncarg-data: does 'apt-get update' help?" >&2
    exit 1
  }
  dpkg -x "$work"/libncarg-data_*.deb "$work/unpacked"
  cp "$work/unpacked/usr/share/ncarg/data/cdf/trinidad.nc" "$work/"
fi

# 3 arc seconds, pixel centres on whole steps: the corners lie half a step outside 106-104 W, 37-38 N. 0.3048 m a foot.
gdal_translate -q -a_srs EPSG:4326 -a_ullr -106.00041666666667 38.00041666666667 -103.99958333333333 36.99958333333333 \
  -scale 0 10000 0 3048 -ot Int16 -a_nodata -32768 "$work/trinidad.nc" "$work/colorado.tif"
gdal_translate -q -of SRTMHGT -srcwin 0 0 1201 1201 "$work/colorado.tif" "$work/N37W106.hgt"
gdal_translate -q -of SRTMHGT -srcwin 1200 0 1201 1201 "$work/colorado.tif" "$work/N37W105.hgt"
mv "$work/N37W106.hgt" "$work/N37W105.hgt" ground/
echo "ground/N37W106.hgt and ground/N37W105.hgt are ready" >&2
