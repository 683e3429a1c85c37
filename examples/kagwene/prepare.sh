#!/bin/sh
# prepare.sh - real ground and real vegetation for the example: the Kagwene sanctuary, Cameroon, from Debian's package
# r-cran-spatstat.data (GPL-2+; the data come from the WCS Takamanda-Mone Landscape Project). The package is fetched and
# unpacked here, not installed. Its elevation is an R object: R itself (Debian's r-base-core) is installed when it is missing
# and this script runs as root.
set -eu
cd "$(dirname "$0")"
mkdir -p ground
if [ -f ground/elevation.tif ] && [ -f ground/vegetation.tif ]; then
  exit 0
fi
for tool in gdal_translate apt-get dpkg; do
  command -v $tool >/dev/null 2>&1 || { echo "$tool is missing; gdal_translate is in Debian's gdal-bin" >&2; exit 1; }
done
if ! command -v Rscript >/dev/null 2>&1; then
  [ "$(id -u)" = 0 ] || { echo "R is missing: install Debian's r-base-core, or run this as root" >&2; exit 1; }
  apt-get install -y -q --no-install-recommends r-base-core >&2
fi

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
chmod 755 "$work"
(cd "$work" && apt-get download -q r-cran-spatstat.data >&2 && dpkg -x r-cran-spatstat.data_*.deb unpacked) || {
  echo "apt-get could not fetch r-cran-spatstat.data: does 'apt-get update' help?" >&2
  exit 1
}
data=$work/unpacked/usr/lib/R/site-library/spatstat.data

# The matrix runs from south to north. Its cells are not quite square.
cat >"$work/elevation.R" <<'R'
args <- commandArgs(TRUE)
data <- new.env()
invisible(lazyLoad(args[1], envir = data))
im <- data$gorillas.extra$elevation
m <- im$v[nrow(im$v):1, ]
m[is.na(m)] <- -9999
cat(sprintf("ncols %d\nnrows %d\nxllcorner %.6f\nyllcorner %.6f\ndx %.9f\ndy %.9f\nNODATA_value -9999\n",
            ncol(m), nrow(m), im$xrange[1], im$yrange[1], im$xstep, im$ystep), file = args[2])
write.table(m, args[2], append = TRUE, row.names = FALSE, col.names = FALSE)
R
Rscript "$work/elevation.R" "$data/data/Rdata" "$work/elevation.asc"
gdal_translate -q -a_srs EPSG:32632 "$work/elevation.asc" "$work/elevation.tif"
gdal_translate -q -a_srs EPSG:32632 -ot Byte -a_nodata 0 "$data/rawdata/gorillas/vegetation.asc" "$work/vegetation.tif"
mv "$work/elevation.tif" "$work/vegetation.tif" ground/
echo "ground/elevation.tif and ground/vegetation.tif are ready" >&2
