/* tables.c - the tables of published results and what their columns mean.
 *
 * Tolerances. P.2001 inverts its fading by halving to 0.01 dB and its software halves once more: a last step that
 * falls the other way moves a fade by less than 0.02 dB, so what a fade is part of is held to that, all else to
 * the digits. P.452 has no such step: its examples are met to 1e-5 dB and its geometry to the digits printed; the
 * radius follows from a lapse of six decimals. */
#include "tables.h"

#include <string.h>

#include "base/units.h"
#include "model/combine.h"

/* --- ITU-R P.2001 ------------------------------------------------------------------------------------------------- */

#define P2001_CLIMATE                                                                                                  \
  "climate: {delta_n_median: <SdN>, delta_n_enhanced_slope: <SdNsup>, delta_n_sub_slope: <SdNsub>,\n"                  \
  "  gradient_65m_1pct: <Nd65m1>, vapour_density_g_m3: <Wvsurmid>, rain_6h_percent: <Pr6_sfc>,\n"                      \
  "  rain_annual_mm: <Mt_sfc>, rain_convective_ratio: <betarain_sfc>, zero_isotherm_km: <h0_sfc>,\n"                   \
  "  tropo_climate: <TropoClim_cv>}\n"                                                                                 \
  "climate_beacon_side: {vapour_density_g_m3: <Wvsurtx>, tropo_climate: <TropoClim_tx>, rain_6h_percent: <Pr6_tcv>,\n" \
  "  rain_annual_mm: <Mt_tcv>, rain_convective_ratio: <betarain_tcv>, zero_isotherm_km: <h0_tcv>}\n"                   \
  "climate_listener_side: {vapour_density_g_m3: <Wvsurrx>, tropo_climate: <TropoClim_rx>,\n"                           \
  "  rain_6h_percent: <Pr6_rcv>, rain_annual_mm: <Mt_rcv>, rain_convective_ratio: <betarain_rcv>,\n"                   \
  "  zero_isotherm_km: <h0_rcv>}\n"

#define P2001_TIGHT                                                                                                    \
  "Lbs Ld Ldba Ldbka Ldbks Ldbs Ldsph Aac Aad Agsur Aosur Awsur Awrsur Aotcv Awtcv Awrtcv Aorcv Awrcv Awrrcv "         \
  "Cp Dcr Dct Dlm Dlr Dlt Dtcv Dtm Fsea FlagLos50 Hcv Hm Hmid Hrea Hrep Hrs Htea Htep Hts Q0ca Thetae "                \
  "Thetar Thetas Thetat Ztropo"

/* Thousands of dB or of km, in twelve digits. */
#define P2001_LARGE "Lbm2=ducting Lba Aat Reff50 Reffp"

const pub_table p2001_4_table = {
    .file = "p2001_reference_software.csv",
    .percent = "Tpc_pct",
    .page =
        "profile: <folder>/profiles/<profile>\n"
        "frequency_mhz: <f_GHz>e3\n"
        "polarisation: <FlagVP?horizontal|vertical>\n"
        "chain: whole-year\n"
        "beacon: {position: [<Phite>, <Phitn>], antenna: {height_m: <Htg_m>, gain_dbi: <Gtx_dBi>}}\n"
        "listener: {position: [<Phire>, <Phirn>], antenna: {height_m: <Hrg_m>, gain_dbi: <Grx_dBi>}}\n" P2001_CLIMATE,
    .columns = {{0.02, "Lb_dB=basic Lbm1=surface Lbm3=troposcatter A1 A2 A2t A2r"},
                {1e-8, "Fwvr Fwvrt Fwvrr"},
                {1e-8, "Lbfs " P2001_TIGHT},
                {2e-6, P2001_LARGE},
                {1e-8,
                 "Q0ra_sfc kmod_sfc alphamod_sfc Q0ra_tcv kmod_tcv alphamod_tcv Q0ra_rcv kmod_rcv alphamod_rcv tau "
                 "mu1 mu2 mu3 mu4 b0 bduct Gamma gammad theta_a htrop Y90 Yp Ldist Lfreq Lcoup"}},
    .rows = 570};

/* Edition 3 takes free space at the ground distance with 92.44, later ones at the slant distance with 92.4: the
 * surface way is compared free of it, the whole after the published ways are combined again with the free space of
 * today. */
static double since_edition_3(const pub_row *row, const char *column, const json_t *result, double value) {
  double moved = pub_value(result, "Lbfs") - pub_number(row, "Lbfs");
  if (strcmp(column, "Lbm1") == 0) return value + moved;
  if (strcmp(column, "Lb") != 0) return value;
  double surface = pub_number(row, "Lbm1") + moved, duct = pub_number(row, "Lbm2"), scatter = pub_number(row, "Lbm3");
  double whole;
  es_combine_ways(&(es_ways_db){&surface, &duct, &scatter, true}, 1, &whole);
  return whole;
}

/* The workbooks of edition 3 do not print what they read from the maps. The later table has it for the same two
 * paths. */
const pub_table p2001_3_table = {
    .file = "p2001_3_published.csv",
    .percent = "Tpc",
    .more = "p2001_reference_software.csv",
    .page = "profile: <folder>/profiles/<profile>\n"
            "frequency_mhz: <GHz>e3\n"
            "polarisation: <FlagVP?horizontal|vertical>\n"
            "chain: whole-year\n"
            "beacon: {position: [<Phite>, <Phitn>], antenna: {height_m: <Htg>, gain_dbi: <Gtx>}}\n"
            "listener: {position: [<Phire>, <Phirn>], antenna: {height_m: <Hrg>, gain_dbi: <Grx>}}\n" P2001_CLIMATE,
    .columns = {{0.02, "Lb=basic Lbm1=surface Lbm3=troposcatter A1 A2 A2t A2r"},
                {1e-7, "Fwvr Fwvrt Fwvrr " P2001_TIGHT},
                {2e-6, P2001_LARGE}},
    .expected = since_edition_3,
    .rows = 112};

#define DUE_EAST                                                                                                       \
  "beacon: {position: [0, 52], antenna: {height_m: <Htg_m>, gain_dbi: 30}}\n"                                          \
  "listener: {position: [<Phire>, <Phirn>], antenna: {height_m: <Hrg_m>, gain_dbi: 30}}\n"

/* Worked values on profiles given by formula. Figures have three decimals and more. */
const pub_table p2001_worked_table = {
    .file = "p2001_worked.csv",
    .percent = "Tpc_pct",
    .page =
        "profile: <folder>/profiles/<profile>\n"
        "frequency_mhz: <f_GHz>e3\n"
        "polarisation: <FlagVP?horizontal|vertical>\n"
        "chain: whole-year\n" DUE_EAST
        "climate: {delta_n_median: 40, delta_n_enhanced_slope: 15.5, delta_n_sub_slope: 9, gradient_65m_1pct: -180,\n"
        "  rain_6h_percent: 38, rain_annual_mm: 700, rain_convective_ratio: 0.2, zero_isotherm_km: 2.4,\n"
        "  vapour_density_g_m3: 7.5, tropo_climate: 5}\n",
    .columns = {{6e-4, "Lb=basic Lbfs Ld A1 Lbm1=surface Lbm2=ducting Lbm3=troposcatter"}, {6e-6, "Fwvr"}},
    .rows = 52};

/* --- ITU-R P.452 -------------------------------------------------------------------------------------------------- */

#define P452_REST                                                                                                      \
  "climate: {delta_n: <DN>, n0: <N0>, pressure_hpa: <press_hPa>, temperature_c: <temp_C>}\n"                           \
  "sea_distance_km: {beacon: <dct_km>, listener: <dcr_km>}\n"
#define P452_PAGE                                                                                                      \
  "profile: <folder>/profiles/<profile>\n"                                                                             \
  "frequency_mhz: <f_GHz>e3\n"                                                                                         \
  "polarisation: <pol?|horizontal|vertical>\n"                                                                         \
  "chain: openings\n"                                                                                                  \
  "beacon: {position: [<phit_e>, <phit_n>], antenna: {height_m: <htg_m>, gain_dbi: <Gt_dBi>}}\n"                       \
  "listener: {position: [<phir_e>, <phir_n>], antenna: {height_m: <hrg_m>, gain_dbi: <Gr_dBi>}}\n" P452_REST
#define P452_PRINTED "dtot hts hrs theta_t theta_r theta hm hte hre hstd hsrd dlt dlr dtm dlm b0 omega"

/* The examples work out the clearest point of a path in line of sight once, at the frequency of their first row:
 * what hangs on its distance belongs to another frequency than the row's. Lb is the row's own. */
static bool own_frequency(const pub_row *row, const char *column) {
  static const char *const stale[] = {"dlt", "dlr", "Lb0p", "Lb0b", "Lba"};
  if (strcmp(pub_cell(row, "path"), "Line of Sight") != 0) return true;
  for (size_t i = 0; i < sizeof stale / sizeof *stale; i++)
    if (strcmp(column, stale[i]) == 0) return false;
  return true;
}

const pub_table p452_18_table = {
    .file = "p452_18_published.csv",
    .percent = "p_pct",
    .page = P452_PAGE,
    .columns = {{1e-5, "Lb=basic Lbfsg Lb0p Lb0b Ldsph Ld50 Ldp Lbs Lba"}, {1e-6, P452_PRINTED}, {1e-4, "ae"}},
    .compared = own_frequency,
    .rows = 383};

const pub_table p452_18_software_table = {
    .file = "p452_18_reference_software.csv",
    .percent = "p_pct",
    .page = P452_PAGE,
    .columns = {{1e-7, "Lb=basic Lbfsg Lb0p Lb0b Lbulla50 Lbulls50 Ldsph50 Ld50 Ldp Fj Fk Lbs Lba"},
                {1e-7, P452_PRINTED " ae hst hsr gamma_o gamma_w"}},
    .rows = 280};

const pub_table p452_worked_table = {
    .file = "p452_worked.csv",
    .percent = "p_pct",
    .page = "profile: <folder>/profiles/<profile>\n"
            "frequency_mhz: 10368\n"
            "chain: openings\n" DUE_EAST "climate: {delta_n: 40, n0: 325, pressure_hpa: 1013, temperature_c: 15}\n"
            "sea_distance_km: {beacon: <dct_km>, listener: <dcr_km>}\n",
    .columns = {{6e-5, "Lb=basic b0 Ag Lbfsg Lb0p Lb0b Ld50 Ldp Lbd50 Lbd Lminb0p Lba Lminbap Fk Fj Lbda Lbam Lbs"}},
    .rows = 20};

/* Edition 17 differs in the clutter about the terminals alone. */
static bool without_clutter(const pub_row *row) { return strcmp(pub_cell(row, "terminal_clutter"), "no") == 0; }

/* Of the place these examples give the latitude of the path's centre only: a path along a meridian has it there. */
static bool on_a_meridian(const pub_row *row, const char *name, double *value) {
  double half = es_deg(0.5 * pub_number(row, "dtot") / ES_EARTH_KM), centre = pub_number(row, "phi_path_deg");
  *value = centre + (strcmp(name, "south") == 0 ? -half : half);
  return strcmp(name, "south") == 0 || strcmp(name, "north") == 0;
}

const pub_table p452_17_table = {
    .file = "p452_17_published.csv",
    .percent = "p_pct",
    .page = "profile: <folder>/profiles/<profile>\n"
            "frequency_mhz: <f_GHz>e3\n"
            "polarisation: <pol?|horizontal|vertical>\n"
            "chain: openings\n"
            "beacon: {position: [0, <south>], antenna: {height_m: <htg_m>, gain_dbi: <Gt_dBi>}}\n"
            "listener: {position: [0, <north>], antenna: {height_m: <hrg_m>, gain_dbi: <Gr_dBi>}}\n" P452_REST,
    .columns = {{1e-5, "Lb=basic Lbfsg Lb0p Lb0b Ldsph Ld50 Ldp Lbs Lba"}, {1e-6, P452_PRINTED}, {1e-4, "ae"}},
    .asked = without_clutter,
    .compared = own_frequency,
    .worked_out = on_a_meridian,
    .rows = 105};

/* --- ITU-R P.526, delta-Bullington -------------------------------------------------------------------------------- */

#define P526_REST                                                                                                      \
  "chain: diffraction\n"                                                                                               \
  "convention: p526\n"                                                                                                 \
  "settings: {diffraction: {beta: one}}\n"                                                                             \
  "effective_earth_radius_km: <ae_km>\n"                                                                               \
  "beacon: {antenna: {height_m: <htg_m>}}\n"                                                                           \
  "listener: {antenna: {height_m: <hrg_m>}}\n"                                                                         \
  "profile: <folder>/profiles/<profile>\n"

/* The examples round the speed of light to 3e8 m/s. The loss hangs on the wavelength: the same one is asked for. */
static bool same_wavelength(const pub_row *row, const char *name, double *value) {
  *value = 1e3 * pub_number(row, "f_GHz") * ES_LIGHT_M_S / pub_number(row, "c_m_s");
  return strcmp(name, "f_MHz") == 0;
}

/* Heights over the smooth surface are those of the antennas: above sea less the surface. */
const pub_table p526_published_table = {
    .file = "p526_delta_bullington_published.csv",
    .page = "frequency_mhz: <f_MHz>\n" P526_REST,
    .columns = {{1e-6, "hts_smooth_m=Htep hrs_smooth_m=Hrep Lba_dB=Ldba Lbs_dB=Ldbs Lsph_dB=Ldsph L_dB=Ld"}},
    .worked_out = same_wavelength,
    .rows = 13};

const pub_table p526_computed_table = {
    .file = "p526_delta_bullington_computed.csv",
    .page = "frequency_mhz: <f_GHz>e3\n" P526_REST,
    .columns = {{1e-6,
                 "hts_smooth_m=Htep hrs_smooth_m=Hrep Luc_actual_dB=Ldbka Lba_dB=Ldba Luc_smooth_dB=Ldbks Lbs_dB=Ldbs "
                 "Lsph_dB=Ldsph L_dB=Ld"}},
    .rows = 93};
