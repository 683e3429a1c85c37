/* profile_panel.h - one window on a path profile: the whole path or one of its ends. Internal to core/output. */
#ifndef EARSHOT_OUTPUT_PROFILE_PANEL_H
#define EARSHOT_OUTPUT_PROFILE_PANEL_H

#include "output/palette.h"
#include "output/pen.h"
#include "output/profile_sheet.h"

typedef struct es_profile_panel {
  const es_profile_sheet *sheet;
  const es_palette *palette;
  const es_pen *pen;
  double x, y, width, height;         /* px */
  double from_m, to_m, low_m, high_m; /* distances and drawn heights at its edges */
  bool near;                          /* an inset: trees and masts in full, intrusions hatched */
} es_profile_panel;

double es_profile_path_m(const es_profile_sheet *sheet);
double es_profile_bulge(const es_profile_sheet *sheet, double dist_m);
double es_profile_line(const es_profile_sheet *sheet, double dist_m);        /* sight line, drawn height */
double es_profile_zone_radius(const es_profile_sheet *sheet, double dist_m); /* first zone, m */
double es_profile_ground(const es_profile_sheet *sheet, double dist_m);      /* between samples; NaN: not known */

double es_panel_x(const es_profile_panel *panel, double dist_m);
double es_panel_y(const es_profile_panel *panel, double drawn_m);
/* Heights that hold all that is drawn between from_m and to_m: least ground - 5 % to zone and ground + 15 %. */
void es_panel_fit(es_profile_panel *panel);
double es_panel_height_step(const es_profile_panel *panel); /* between height lines, m */
void es_panel_draw(const es_profile_panel *panel);

#endif
