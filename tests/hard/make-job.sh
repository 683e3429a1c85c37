#!/bin/sh
# make-job.sh FOLDER [SIDE] - a job that is small in everything: a hill of SIDE x SIDE cells (60), three listeners, two
# scenarios, a map. Made by formula, so it is the same everywhere.
set -eu
folder=$1
side=${2:-60}
mkdir -p "$folder"
awk -v side="$side" 'BEGIN {
  printf "ncols %d\nnrows %d\nxllcorner -36.2\nyllcorner 46.5\ncellsize 0.0025\nNODATA_value -9999\n", side, side
  for (r = 0; r < side; r++) {
    for (c = 0; c < side; c++) printf "%.1f ", 60 + 50 * sin(c / 5) * cos(r / 7) + (c * 7 + r * 13) % 11
    printf "\n"
  }
}' >"$folder/hill.asc"
middle=$(awk -v side="$side" 'BEGIN { printf "%.5f, %.5f", -36.2 + 0.00125 * side, 46.5 + 0.00125 * side }')
awk -v side="$side" 'BEGIN {
  print "name,lon,lat,height_m"
  for (i = 1; i < 4; i++) printf "Q%dAB,%.5f,%.5f,10\n", i, -36.2 + 0.0025 * side * i / 4.5, 46.5 + 0.0025 * side * i / 5
}' >"$folder/listeners.csv"
cat >"$folder/job.yaml" <<END
beacon:
  name: Small Hill
  position: [$middle]
  frequency_mhz: 10368
  polarisation: horizontal
  antenna: {gain_dbi: 10}
listeners: listeners.csv
ground: {elevation: hill.asc, crs: "EPSG:4326", vertical_datum: invented}
vary: {height_m: [10], power_dbm: [20, 30]}
time_percent: [1, 50]
chain: whole-year
map:
  radius_km: 4
  cell_m: 200
  receiver: {height_m: 10, dish_m: 0.6, noise_figure_db: 1, mode: cw}
END
