#!/bin/sh
# bad-input.sh EARSHOT BAD_MODELS - what the program says to bad input: one clear line each, all faults of a job together,
# the exit status, and nothing written. BAD_MODELS holds one folder for each bad model.
set -eu
earshot=$(realpath "$1")
bad=$(realpath "$2")
. "$(dirname "$0")/lib.sh"
tile=$here/terrain-samples/elevation/N46W037.tif
cd "$work"

# job NAME ELEVATION LINES...: a sound beacon over that elevation, and the lines at its end (line 8 onward).
job() {
  name=$1
  cat >"$name" <<END
beacon:
  name: Test
  position: [-36.5, 46.5]
  frequency_mhz: 10368
  antenna: {gain_dbi: 0, height_m: 18}
  power: {at_amplifier_dbm: 20}
ground: {elevation: $2, vertical_datum: invented}
END
  shift 2
  for line in "$@"; do echo "$line" >>"$name"; done
}
run() { "$earshot" run "$1" --output out --quiet; }
printf 'name,lon,lat\nQ1AAA,-36.4,46.5\nQ1BBB,-36.6,46.6\n' >list.csv
chain='chain: diffraction'
list='listeners: list.csv'

# --- the job file --------------------------------------------------------------------------------------------------
job key.yaml "$tile" "$chain" 'listners: list.csv'
expect 1 run key.yaml <<END
key.yaml:9: listners=list.csv: unknown key, did you mean listeners?
key.yaml:1: nothing to answer: want listeners, or map, or both
END
job range.yaml "$tile" "$chain" "$list" 'map: {radius_km: 5000, cell_m: 200}' 'time_percent: [50, 10]'
sed -i 's/10368/10/; s/height_m: 18/height_m: high/' range.yaml
expect 1 run range.yaml <<END
range.yaml:4: frequency_mhz=10: want a number from 1000 to 50000 MHz
range.yaml:5: height_m=high: want a number from 0 to 1000 m
range.yaml:11: time_percent=*
range.yaml:10: radius_km=5000: want a number from 1 to 1000 km
END
printf 'beacon: {\n' >broken.yaml
expect 1 run broken.yaml <<END
broken.yaml:2: not YAML: *
END
expect 1 run missing.yaml <<END
missing.yaml: cannot be read (No such file or directory)
END

# --- the list ------------------------------------------------------------------------------------------------------
printf 'name,lon,lat,height_m\nQ1AAA,-36.4,46.5,12a\nQ1BBB,-36.6,46.6,10\nQ1CCC,-36.6,4o.6,10\n' >letters.csv
job letters.yaml "$tile" "$chain" 'listeners: letters.csv'
expect 1 run letters.yaml <<END
letters.csv:2: height_m=12a: want a number from 0 to 1000 m
letters.csv:4: lat=4o.6: want a number from -90 to 90 degrees
END
printf 'name,lon,lat\nQ1AAA,-36.4,46.5\nQ1FAR,-30,46.6\n' >off.csv
job off.yaml "$tile" "$chain" 'listeners: off.csv'
expect 1 run off.yaml <<END
off.csv:3: Q1FAR at lon=-30.000000 lat=46.600000: no elevation there, and no sea by a mask
END
expect 1 "$earshot" check off.yaml --quiet <<END
off.csv:3: Q1FAR at lon=-30.000000 lat=46.600000: no elevation there, and no sea by a mask
1 fault; nothing would be computed
END
cat >off.geojson <<END
{"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {"name": "Q1FAR"},
  "geometry": {"type": "Point", "coordinates": [-30, 46.6]}}]}
END
job off-feature.yaml "$tile" "$chain" 'listeners: off.geojson'
expect 1 run off-feature.yaml <<END
off.geojson: feature 1: Q1FAR at lon=-30.000000 lat=46.600000: no elevation there, and no sea by a mask
END
job nobody.yaml "$tile" "$chain" "$list"
sed -i 's/-36.5, 46.5/-34.9, 46.5/' nobody.yaml
expect 1 run nobody.yaml <<END
nobody.yaml:3: beacon: position=[-34.900000, 46.500000]: no elevation there, and no sea by a mask
END

# --- rasters -------------------------------------------------------------------------------------------------------
: >empty.tif
job empty.yaml empty.tif "$chain" "$list"
expect 1 run empty.yaml <<END
empty.yaml:7: ground.elevation: empty.tif cannot be read as a raster *
END
head -c 30000 "$tile" >half.tif
job half.yaml half.tif "$chain" "$list"
expect 1 run half.yaml <<END
half.yaml:7: ground.elevation: half.tif cannot be read *
END
printf 'ncols 2\nnrows 2\nxllcorner -37\nyllcorner 46\ncellsize 0.5\n1 2\n3 4\n' >no-crs.asc
job no-crs.yaml no-crs.asc "$chain" "$list"
expect 1 run no-crs.yaml <<END
no-crs.yaml:7: ground.elevation: no-crs.asc has no CRS: want one in the file, or ground.crs in the job, such as EPSG:4326
END
job no-file.yaml nowhere.tif "$chain" "$list"
expect 1 run no-file.yaml <<END
no-file.yaml:7: elevation=nowhere.tif: *
END

# --- models --------------------------------------------------------------------------------------------------------
with() { "$earshot" run "$1" --output out --quiet --models-from "$bad/$2"; }
job missing-model.yaml "$tile" "$chain" "$list" 'models: [free-space, pixies]'
expect 1 run missing-model.yaml <<END
missing-model.yaml: models: pixies is not installed; see: earshot models
END
job sound.yaml "$tile" "$chain" "$list"
expect 1 with sound.yaml other-abi <<END
$bad/other-abi/other-abi.so: not a model: it speaks interface version 77, this program 1
END
expect 1 with sound.yaml no-symbol <<END
$bad/no-symbol/no-symbol.so: not a model: it exports no es_model_entry
END
mkdir no-library
echo hello >no-library/text.so
expect 1 "$earshot" run sound.yaml --output out --quiet --models-from no-library <<END
no-library/text.so: not a model: *
END
expect 1 "$earshot" run sound.yaml --output out --quiet --models-from nowhere <<END
nowhere: not a folder of models
END
job refuses.yaml "$tile" "$chain" "$list" 'models: [free-space, refuses]'
expect 1 with refuses.yaml refuses <<END
$bad/refuses/refuses.so: model refuses cannot be set up: its table is not there
END
job setting.yaml "$tile" "$chain" "$list" 'settings: {gases: {convention: guess}, diffraction: {colour: red}}'
expect 1 run setting.yaml <<END
setting.yaml:10: settings: diffraction has no setting colour; see: earshot models diffraction
setting.yaml:10: gases: convention=guess: want one of *
END

# --- the output folder ---------------------------------------------------------------------------------------------
expect 1 "$earshot" run sound.yaml --output list.csv --quiet <<END
list.csv: answers cannot be written there (Not a directory): want a folder
END
expect 1 "$earshot" run sound.yaml --output list.csv/out --quiet <<END
list.csv/out: answers cannot be written there (Not a directory): want a folder
END
if [ "$(id -u)" -ne 0 ]; then # root may write anywhere
  mkdir locked
  chmod 555 locked
  expect 1 "$earshot" run sound.yaml --output locked/out --quiet <<END
locked/out: answers cannot be written there (Permission denied): want a folder
END
fi

# --- all together --------------------------------------------------------------------------------------------------
job all.yaml empty.tif 'chain: difraction' 'listeners: letters.csv' 'models: [free-space, pixies]' 'colour: red'
sed -i 's/height_m: 18/height_m: -1/' all.yaml
expect 1 "$earshot" run all.yaml --output list.csv --quiet --models-from nowhere <<END
all.yaml:8: chain=difraction: *
all.yaml:11: colour=red: unknown key*
all.yaml:5: height_m=-1: want a number from 0 to 1000 m
letters.csv:2: height_m=12a: want a number from 0 to 1000 m
letters.csv:4: lat=4o.6: want a number from -90 to 90 degrees
nowhere: not a folder of models
all.yaml: models: pixies is not installed; see: earshot models
list.csv: answers cannot be written there (Not a directory): want a folder
all.yaml:7: ground.elevation: empty.tif cannot be read as a raster *
END

[ ! -e out ] || fail "a faulty job has made its output folder"

# --- part-way: status 3 --------------------------------------------------------------------------------------------
job fails.yaml "$tile" "$chain" "$list" 'models: [free-space, fails]'
expect 3 with fails.yaml fails <<END
earshot: model fails failed: it fails as it was told to ($bad/fails/fails.so)
END
[ -z "$(find out -type f)" ] || fail "a run without any answer has written $(find out -type f)"
job fails-late.yaml "$tile" "$chain" "$list" 'models: [free-space, fails]' 'settings: {fails: {on: maps}}' \
  'map: {radius_km: 5, cell_m: 200}'
expect 3 with fails-late.yaml fails <<END
earshot: model fails failed: it fails as it was told to ($bad/fails/fails.so)
END
[ "$(wc -l <out/listeners.csv)" -eq 3 ] || fail "the table is not kept when the map fails"
[ -z "$(find out -name '.*' -type f -o -name 'map-*' -o -name 'run.json')" ] || fail "half-written: $(find out -type f)"

[ "$failed" -eq 0 ]
