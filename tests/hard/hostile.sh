#!/bin/sh
# hostile.sh EARSHOT - data that is legal and unkind: each is answered or refused in words, none crashes, memory stays bounded.
set -eu
earshot=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work"
bad=0

fail() {
  echo "hostile.sh: $*" >&2
  sed 's/^/  | /' said | head -8 >&2
  bad=$((bad + 1))
}

# raster FILE COLS ROWS WEST SOUTH STEP EXPRESSION: an ASCII grid; the expression may use c and r.
raster() {
  awk "BEGIN { printf \"ncols %d\nnrows %d\nxllcorner %.6f\nyllcorner %.6f\ncellsize %.8f\nNODATA_value -9999\n\", $2, $3, $4, $5, $6
    for (r = 0; r < $3; r++) { for (c = 0; c < $2; c++) printf \"%s \", $7; printf \"\n\" } }" >"$1"
}

# job LON LAT ELEVATION [RADIUS_KM]: listeners.csv is there already. The map is a small one.
job() {
  cat >job.yaml <<END
beacon:
  name: Unkind
  position: [$1, $2]
  frequency_mhz: 10368
  polarisation: horizontal
  antenna: {gain_dbi: 10, height_m: 10}
  power: {at_amplifier_dbm: 27}
listeners: listeners.csv
ground: {elevation: $3, crs: "EPSG:4326", vertical_datum: invented${more_ground:-}}
chain: whole-year
time_percent: [1, 50]
map:
  radius_km: ${4:-2}
  cell_m: 200
  receiver: {height_m: 10, dish_m: 0.6, noise_figure_db: 1, mode: cw}
END
}

listener() { printf 'name,lon,lat,height_m\n%s\n' "$1" >listeners.csv; }

# go NAME WANTED: runs the job; wanted is answered, refused (status 1, in words) or either.
go() {
  rm -rf out
  status=0
  # shellcheck disable=SC3045,SC2086 # dash and bash know -v; options are parted at blanks
  (ulimit -v "${most_kb:-unlimited}" 2>/dev/null || true
    timeout "${patience:-300}" "$earshot" run job.yaml --output out --threads 2 --quiet ${run_options:-}) >said 2>&1 || status=$?
  case $2:$status in
  answered:0 | either:0) [ -s out/listeners.csv ] || fail "$1: no table" ;;
  refused:1 | either:1) [ -s said ] || fail "$1: refused without a word" ;;
  *) fail "$1: exit status $status, want it $2" ;;
  esac
  ! grep -q 'Sanitizer\|runtime error' said || fail "$1: a fault the checked build sees"
  [ -z "${EARSHOT_SHOW:-}" ] || cut -d, -f2-10,12,13,20 out/listeners.csv 2>/dev/null | head -4
  if [ "$status" -eq 0 ]; then echo "$1: answered"; else echo "$1: $(head -1 said)"; fi
}

row() { sed -n "$1p" out/listeners.csv; }

hill="100 + 50 * sin(c / 4) * cos(r / 5)"

raster one.asc 1 1 0 50 0.2 "42"
listener 'A,0.11,50.1,10'
job 0.1 50.1 one.asc
go "a raster of 1 x 1" answered

raster hill.asc 80 80 0 50 0.0025 "$hill"
cat >huge.vrt <<'END'
<VRTDataset rasterXSize="100000" rasterYSize="100000"><SRS>EPSG:4326</SRS>
<GeoTransform>0, 0.0025, 0, 50.2, 0, -0.0005</GeoTransform>
<VRTRasterBand dataType="Float32" band="1"><NoDataValue>-9999</NoDataValue>
<SimpleSource><SourceFilename relativeToVRT="1">hill.asc</SourceFilename><SourceBand>1</SourceBand>
<SrcRect xOff="0" yOff="0" xSize="80" ySize="80"/><DstRect xOff="0" yOff="0" xSize="80" ySize="400"/></SimpleSource>
</VRTRasterBand></VRTDataset>
END
job 0.1 50.1 huge.vrt
go "a raster of 100 000 x 100 000, virtual" answered

cat >turned.vrt <<'END'
<VRTDataset rasterXSize="80" rasterYSize="80"><SRS>EPSG:4326</SRS>
<GeoTransform>0.1, 0.0018, 0.0018, 50.1, 0.0012, -0.0012</GeoTransform>
<VRTRasterBand dataType="Float32" band="1"><NoDataValue>-9999</NoDataValue>
<SimpleSource><SourceFilename relativeToVRT="1">hill.asc</SourceFilename><SourceBand>1</SourceBand></SimpleSource>
</VRTRasterBand></VRTDataset>
END
listener 'A,0.21,50.1,10'
job 0.2 50.1 turned.vrt
go "a rotated raster" answered

cat >flat.vrt <<'END'
<VRTDataset rasterXSize="80" rasterYSize="80"><SRS>EPSG:4326</SRS>
<GeoTransform>0.1, 0.0018, 0.0018, 50.1, 0.0018, 0.0018</GeoTransform>
<VRTRasterBand dataType="Float32" band="1">
<SimpleSource><SourceFilename relativeToVRT="1">hill.asc</SourceFilename><SourceBand>1</SourceBand></SimpleSource>
</VRTRasterBand></VRTDataset>
END
job 0.2 50.1 flat.vrt
go "a raster without area" refused

raster east.asc 80 80 359.9 50 0.0025 "$hill"
listener 'A,0.01,50.1,10'
job 0.0 50.1 east.asc
go "longitudes past 180" answered

raster date.asc 80 80 179.9 50 0.0025 "$hill"
listener 'A,-179.95,50.12,10
B,179.95,50.08,10'
job 180 50.1 date.asc 4
go "across the antimeridian" answered
row 2 | grep -q ",4[.]2[0-9]*," || fail "across the antimeridian: $(row 2)"

raster west.asc 40 80 179.9 50 0.0025 "$hill"
raster rest.asc 40 80 -180 50 0.0025 "$hill"
job -179.999 50.1 "[west.asc, rest.asc]" 4
go "two tiles, one on either side of the antimeridian" answered

raster pole.asc 360 20 -180 89 0.05 "10 + r"
awk 'NR == 1 { print "ncols 7200" } NR == 2 { print "nrows 20" } NR > 2 && NR < 7 { print } NR > 6 { s = ""; for (i = 0; i < 20; i++) s = s $0; print s }' pole.asc >polar.asc
listener 'A,45,89.9,10
B,-170,89.95,10'
job 0 90 polar.asc
go "a beacon at the pole" either
job 10 89.98 polar.asc
go "a beacon beside the pole" either

listener 'same,0.1,50.1,10
twin,0.12,50.1,10
twin,0.12,50.1,10'
job 0.1 50.1 hill.asc
go "a listener at the beacon, two at one place" answered
grep -q 'stands at the beacon' out/listeners.csv || fail "a listener at the beacon is not told"

raster deep.asc 80 80 0 50 0.0025 "-400 + c"
listener 'A,0.11,50.1,10'
job 0.1 50.1 deep.asc
go "land below sea level" answered

raster void.asc 80 80 0 50 0.0025 "-9999"
job 0.1 50.1 void.asc
go "no data anywhere" refused

raster nan.asc 80 80 0 50 0.0025 "(c > 50 ? \"nan\" : 100)"
job 0.05 50.1 nan.asc
listener 'A,0.06,50.1,10'
go "NaN in the raster" answered

raster big.asc 80 80 0 50 0.0025 "(c == 50 ? \"1e30\" : 100)"
job 0.05 50.1 big.asc
go "1e30 metres in the raster" answered
! grep -q 'e+2\|e+3\|inf' out/listeners.csv || fail "1e30 came through"

raster other.asc 80 80 0.1 50 0.0025 "900 + r"
listener 'A,0.15,50.12,10'
job 0.11 50.1 "[hill.asc, other.asc]"
go "tiles that disagree" answered

if command -v gdal_create >/dev/null 2>&1; then
  gdal_create -q -of GTiff -ot Int16 -outsize 160000 160000 -a_srs EPSG:4326 -a_ullr -100 80 100 -20 -a_nodata -9999 \
    -co SPARSE_OK=TRUE -co TILED=YES -co BIGTIFF=YES mosaic.tif
  listener 'A,0.11,50.1,10'
  job 0.1 50.1 "[mosaic.tif, hill.asc]" 40
  run_options=--memory=1
  go "forty kilometres with 1 MB allowed" refused
  grep -q 'needs .* MB for .* km of ground alone' said || fail "1 MB: not told what is needed"
  run_options=--memory=70
  go "forty kilometres with 70 MB allowed" refused
  grep -q 'needs about .* MB (' said || fail "70 MB: not told what is needed"
  job 0.1 50.1 "[mosaic.tif, hill.asc]" 4
  run_options=--memory=300
  most_kb=${MOST_KB:-3000000}
  go "a sparse mosaic of 51 GB" answered
  most_kb=unlimited run_options=
fi

awk 'BEGIN { print "name,lon,lat,height_m"; for (i = 0; i < 10000; i++) printf "L%d,%.5f,%.5f,10\n", i, 0.02 + (i % 100) * 0.0015, 50.02 + int(i / 100) * 0.0015 }' >listeners.csv
job 0.1 50.1 hill.asc
sed -i '/^map:/,$d' job.yaml
patience=3000 # 40 000 files, each synced: a busy disk takes its time
[ -n "${EARSHOT_SHORT:-}" ] || go "10 000 listeners" answered
[ -n "${EARSHOT_SHORT:-}" ] || [ "$(find out/paths -name '*.json' | wc -l)" -eq 10000 ] || fail "not 10 000 paths"
patience=300

printf 'name,lon,lat\n"Q0 ""quoted"", with comma",0.11,50.1\n"two\nlines",0.12,50.1\n"<b>&amp;</b><script>alert(1)</script>",0.13,50.1\n"\330\271\330\261\330\250\331\212 \327\242\327\221\327\250\327\231\327\252",0.12,50.12\n"../../../etc/passwd",0.13,50.12\n"%%s%%n%%n",0.14,50.12\n"=1+1",0.14,50.13\n' >listeners.csv
job 0.1 50.1 hill.asc
sed -i 's|name: Unkind|name: "<i>\\"A\\" \\u202e & 100 %n</i>"|' job.yaml
go "names with quotes, commas, newlines, markup, right to left" answered
grep -q '"Q0 ""quoted"", with comma"' out/listeners.csv || fail "a quoted name came out otherwise"
[ -z "$(find out -name '*passwd*')" ] || fail "a name became the name of a file"
! grep -rq --include='*.html' '<script>alert' out || fail "markup in a name reached a page"
ogrinfo -ro -so out/listeners.geojson listeners 2>&1 | grep -q 'Feature Count: 7' || fail "listeners.geojson has not its 7 names"

[ "$bad" -eq 0 ] && echo "all answered or refused in words"
