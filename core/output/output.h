/* output.h - a run's answers as pictures, rasters and tables. Same input, same bytes; a file appears under its final name
 * only when whole. One header for all of core/output; each part has its own.                                             */
#ifndef EARSHOT_OUTPUT_OUTPUT_H
#define EARSHOT_OUTPUT_OUTPUT_H

#include "output/contours.h"      /* es_contours_write */
#include "output/files.h"         /* es_file_*, es_json_write */
#include "output/height_chart.h"  /* es_height_counts_write, es_height_snr_write */
#include "output/kmz.h"           /* es_kmz_write */
#include "output/map_class.h"     /* es_map_kind, es_map_class, es_map_steps */
#include "output/map_raster.h"    /* es_map_raster_write */
#include "output/map_sheet.h"     /* es_map_ground, es_map_mark, es_sheet, es_map_sheet_write */
#include "output/pattern_plot.h"  /* es_pattern_plot_write */
#include "output/profile_sheet.h" /* es_profile_sheet_write */
#include "output/table.h"         /* es_field, es_cell, es_csv_write, es_gpkg_write */

#endif
