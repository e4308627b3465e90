/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/role_words.h"

#include <stdlib.h>
#include <string.h>

/* English, German, French, Spanish, Italian, Dutch, Portuguese, the Nordic languages, Polish,
 * Finnish; collected from dictionaries of the trade and from memory. */
static const struct {
    const char *role;
    int points;
    const char *words;
} rows[] = {
    {"store", 6,
     "tank store storage bucket barrel drum cistern cylinder container keg jug pail urn vat "
     "speicher puffer behalter behaelter eimer tonne fass kanister zbiornik serbatoio secchio "
     "accumulo bollitore deposito tanque acumulador cubo bidon ballon cuve seau reservoir boiler "
     "opslag emmer balde beholder sailio tstore ttank wtank varaaja beholdare hink spand"},
    {"store", 3, "water wasser eau agua acqua vatten vand vann woda vesi wtemp pot topf bath"},
    {"inlet", 6,
     "inlet inflow eintritt einlass einlauf zulauf eingang entree ingresso entrada ingang inlaat "
     "inlopp indlob tin wlot entering kaltseite"},
    {"inlet", 4, "in into cold kalt"},
    {"outlet", 6,
     "outlet outflow austritt auslass auslauf ablauf ausgang sortie uscita salida saida uitgang "
     "uitlaat utlopp udlob tout wylot leaving"},
    {"outlet", 4, "out hot heiss"},
    {"air", 6,
     "air ambient aussen outdoor outdoors outside umgebung ausen aussentemperatur aria aire "
     "ambiante ambiente exterieur exterieure exterior esterna esterno buiten omgeving lucht luft "
     "shade schatten ute utomhus udenfor omgivning powietrze zewnetrzna zewnatrz ilma ulko "
     "ulkolampotila utetemp tamb "
     "tair oat "
     "ambience dehors fuera ar amb ombre"},
    {"air", 3,
     "patio porch yard garden garten terrasse terraza balcony balkon jardin giardino tuin"},
    {"air", 1, "out"},
    {"box", 6,
     "absorber box oven plate kasten caisson caja cassa absorbeur assorbitore absorberplatte ofen "
     "case kast absorbator"},
    {"box", 3, "collector kollektor panel capteur colector collettore collecteur panneau glazing"},
    {"sun", 6,
     "irradiance irradiation insolation ghi gti poa pyranometer pyrano einstrahlung "
     "globalstrahlung bestrahlungsstarke strahlung sonneneinstrahlung ensoleillement rayonnement "
     "eclairement irradiancia radiacion radiacao irraggiamento radiazione irradianza "
     "zonnestraling instraling straling globalstraling solinstralning naslonecznienie "
     "promieniowanie slr slrw radiation rad pyr sateily solarimeter globalstralning "
     "bestrahlungsstaerke insolacion"},
    {"sun", 5, "sun solar sonne soleil solaire sol sole zon slonce aurinko sky solare"},
    {"diffuse", 8, "diffuse dhi diffus difusa diffusa diffuus difuso diffusstrahlung"},
    {"flow", 6,
     "flow flowrate durchfluss volumenstrom debit caudal portata debiet doorstroming vazao flode "
     "gennemstromning przeplyw virtaus lpm gpm lph volumestrom durchflussmenge flowmeter"},
    {"wind", 6,
     "wind windspeed windgeschwindigkeit vent viento vento anemometer vind wiatr tuuli anemo ws "
     "windspd wspd"},
    {"pump", 6, "pump pumpe pompe bomba pompa pomp pumpen pumppu umwalzpumpe circulator"},
    {"humidity", 6,
     "humidity rh hum feuchte feuchtigkeit luftfeuchte luftfeuchtigkeit humidite humedad umidita "
     "vochtigheid umidade fuktighet luftfuktighet wilgotnosc hygro relh relhum kosteus"},
    {"sky", 7, "sky himmel ciel cielo hemel pyrgeometer ceu nebo longwave"},
};

/* Another thing is meant, whatever else the head says. */
static const char against_all[] =
    "dew dewpoint taupunkt rosee rocio rugiada dauwpunt setpoint target soll sollwert chill feels "
    "heatindex direction richtung direzione direccion direcao richting dir battery batt akku "
    "pressure druck pression presion pressione baro barometer rain regen pluie lluvia pioggia uv "
    "lux kwh energy energie energia delta diff difference status quality flag error alarm limit "
    "count index counter number nr stdev stddev rssi signal kwhm2 total cumulative dose et "
    "evapotranspiration ah percentile bias";

/* Rather another column, if there is one. */
static const char against_somewhat[] = "min max high low hi lo minimum maximum std dev gust boe "
                                       "rafale racha raffica peak internal logger board cpu "
                                       "reflected raw spare";

static const struct {
    const char *role, *words;
} against_role[] = {
    {"air", "indoor inside innen interieur interior interno binnen room raum zimmer inne inomhus "
            "feuchte humidity rh"},
    {"sun", "dni direct beam normal net reflected albedo longwave diffuse dhi diffus"},
    {"store", "room raum indoor"},
    {"box", "battery"},
};

static bool only_word(const nr_terms *terms, const char *list)
{
    return nr_terms_any(terms, list) != NULL;
}

int nr_role_points(const char *role, const nr_terms *terms, const char **word, int *length)
{
    int best = 0;
    *word = NULL;
    *length = 0;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *found =
            strcmp(rows[i].role, role) == 0 ? nr_terms_any(terms, rows[i].words) : NULL;
        if (!found || rows[i].points <= best)
            continue;
        best = rows[i].points;
        *word = found;
        *length = (int)strcspn(found, " ");
    }
    if (only_word(terms, against_all))
        return -1;
    for (size_t i = 0; i < sizeof against_role / sizeof *against_role; i++)
        if (strcmp(against_role[i].role, role) == 0 && only_word(terms, against_role[i].words))
            return -1;
    return best > 0 && only_word(terms, against_somewhat) ? (best > 2 ? best - 2 : 1) : best;
}

nr_dimension nr_words_dimension(const nr_terms *terms)
{
    static const struct {
        nr_dimension dimension;
        const char *words;
    } kinds[] = {
        {NR_DIM_PERCENT,
         "humidity humidite humedad umidita feuchte feuchtigkeit luftfeuchte hum rh"},
        {NR_DIM_TEMPERATURE,
         "temp temperature temperatur temperatura thermo thermometer tmp lampotila temperatuur"},
        {NR_DIM_VOLTAGE, "voltage volt volts spannung tension voltaje tensione"},
        {NR_DIM_CURRENT, "current amps strom corriente corrente"},
        {NR_DIM_POWER, "power leistung puissance potencia potenza"},
        {NR_DIM_SPEED, "speed windspeed windgeschwindigkeit vitesse velocidad velocita"},
    };
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (nr_terms_any(terms, kinds[i].words))
            return kinds[i].dimension;
    return NR_DIM_NONE;
}

int nr_words_supply(const nr_terms *terms)
{
    if (nr_terms_any(terms, "supply vorlauf depart mandata ida aanvoer solarvorlauf framledning"))
        return 1;
    return nr_terms_any(terms, "return rucklauf ruecklauf retour ritorno retorno solarrucklauf "
                               "returledning terugloop")
               ? -1
               : 0;
}

bool nr_words_are_plain(const nr_terms *terms)
{
    static const char plain[] =
        " temp temperature temperatur temperatura temperatuur t probe sensor channel ch thermo "
        "thermometer thermocouple tc tmp number no value reading messwert wert fuhler sonde kanal "
        "avg mean deg ds ntc pt rtd k type c f celsius fahrenheit input port ";
    for (size_t i = 0; i < terms->count; i++) {
        char word[NR_TERM + 2] = " ";
        if (terms->term[i][0] >= '0' && terms->term[i][0] <= '9')
            continue;
        strcat(word, terms->term[i]);
        strcat(word, " ");
        if (terms->term[i][1] != '\0' && !strstr(plain, word))
            return false;
    }
    return true;
}
