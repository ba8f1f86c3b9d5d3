"""The tables that exports fill: what is declared here is what a map may fill, what is stored and what measures read."""

from __future__ import annotations

from sentinel.flow.model import DAY_S, QUARTERS
from sentinel.flow.tables import expected
from sentinel.flow.tables.declare import Column, Table

UNKNOWN = "unknown"
"""The outcome of a visit of which it could not be read: she may have been milked, or not."""

IN_MILK = ("milking", "withheld")
"""What the herd list says of a cow that is milked; of `withheld` the milk is kept out of the tank."""

NOT_WHOLE = "not_whole"
"""The outcome of a visit of which it is only said that the milking was not whole: incomplete or failed, by its milk."""

# --- what several columns are called in exports --------------------------------------------------

_COW = (
    "cow;cow no;cow number;animal;animal number;animal id;ear tag;tag;kuh;kuhnummer;tier;tiernummer;ohrmarke;"
    "koe;koenummer;dier;diernummer;ko;konummer;dyr;dyrenummer;djur;djurnummer;vache;numéro vache;numéro animal"
)
_BOX = (
    "box;box no;milking box;stall;stand;station;unit;melkbox;melkplatz;platz;melkplaats;boks;malkeboks;bås;stalle;poste"
)
_WHEN = (
    "when;time;date;date time;timestamp;at;read;read at;sampled;sampled at;"
    "zeit;datum;uhrzeit;zeitpunkt;tijd;tijdstip;tid;tidspunkt;dato;klokken;"
    "heure;date heure;moment"
)
_MILK = (
    "milk;yield;milk yield;milk kg;kilos;kg;amount;milch;milchmenge;gemelk;melk;melkgift;melkproductie;mælk;ydelse;"
    "mælkeydelse;mjölk;mjölkmängd;lait;quantité lait;production"
)
_CELLS = (
    "cells;somatic cells;scc;cell count;zellzahl;zellen;celgetal;cellen;celletal;celler;celltal;cellules;"
    "comptage cellulaire"
)

# --- the tables ----------------------------------------------------------------------------------

VISITS = Table(
    "visits",
    "One visit of a cow to a box.",
    key=("cow", "start"),
    happened="start",
    columns=(
        Column("cow", "text", "the cow's number on the farm, kept as written", titles=_COW),
        Column(
            "start",
            "time",
            "when she entered the box",
            titles="start;start time;begin;came in;entry;visit start;milking start;beginn;startzeit;melkbeginn;"
            "ankunft;begintijd;starttijd;starttid;ankomst;début;heure début;" + _WHEN,
        ),
        Column("box", "text", "which box", titles=_BOX),
        Column(
            "duration_s",
            "number",
            "how long she was in the box",
            "s",
            titles="duration;stay;visit duration;milking duration;milking time;time in box;dauer;melkdauer;"
            "aufenthalt;duur;melkduur;verblijf;varighed;malketid;varaktighet;mjölkningstid;durée;"
            "durée traite",
            expected=expected.STAY_S,
        ),
        Column(
            "outcome",
            "word",
            "how it ended: milked, incomplete (stopped early), failed (not attached), refused (not due), "
            "not_whole (incomplete or failed: the milk tells which), or unknown (it could not be read)",
            words=("milked", "incomplete", "failed", "refused", NOT_WHOLE, UNKNOWN),
            titles="result;outcome;ended;status;visit result;ergebnis;ausgang;resultaat;uitkomst;afloop;"
            "resultat;udfald;utfall;résultat;issue",
        ),
        Column(
            "milk_kg",
            "number",
            "milk of the visit",
            "kg",
            titles=_MILK,
            expected=expected.MILKING_KG,
        ),
        Column(
            "attach_s",
            "number",
            "time to attach all cups",
            "s",
            titles="attach time;attachment time;time to attach;cups on;ansetzzeit;ansetzdauer;aansluittijd;"
            "påsætningstid;påsättningstid;temps branchement;temps pose",
            expected=expected.ATTACH_S,
        ),
        Column(
            "attempts",
            "count",
            "attachment attempts",
            titles="attempts;tries;attachment attempts;versuche;ansetzversuche;pogingen;forsøg;försök;essais;"
            "tentatives",
            expected=expected.TRIES,
        ),
        Column(
            "peak_flow_kg_min",
            "number",
            "highest milk flow of the visit",
            "kg/min",
            titles="peak flow;peak milk flow;maximum flow;max flow;highest flow;höchster milchfluss;"
            "maximaler milchfluss;hoogste melksnelheid;piekmelkstroom;højeste mælkeflow;högsta mjölkflöde;"
            "débit maximal",
            expected=expected.FLOW_KG_MIN,
        ),
    ),
    kept_s=32 * DAY_S,
    per_cow=True,
    in_bulk=True,
)

QUARTER_ROWS = Table(
    "quarters",
    "One quarter at one visit.",
    key=("cow", "start", "quarter"),
    happened="start",
    columns=(
        Column("cow", "text", "the cow's number on the farm", titles=_COW),
        Column(
            "start",
            "time",
            "when she entered the box: the same moment as in visits",
            titles="start;start time;begin;beginn;" + _WHEN,
        ),
        Column("box", "text", "which box", titles=_BOX),
        Column(
            "quarter",
            "word",
            "left front, right front, left rear, right rear",
            words=QUARTERS,
            titles="quarter;teat;viertel;strich;kwartier;kirtel;juverdel;quartier;trayon",
        ),
        Column(
            "conductivity_mS_cm",
            "number",
            "electrical conductivity of the milk at 25 °C",
            "mS/cm",
            titles="conductivity;cond;ec;ms/cm;leitfähigkeit;leitf;geleidbaarheid;geleiding;ledningsevne;"
            "konduktivitet;conductivité",
            expected=expected.CONDUCTIVITY_MS_CM,
        ),
        Column(
            "milk_kg",
            "number",
            "milk of the quarter",
            "kg",
            titles=_MILK,
            expected=expected.QUARTER_KG,
        ),
        Column(
            "kicked_off",
            "flag",
            "the cup came off before the quarter was milked out",
            titles="kicked off;kick off;kick;off;cup off;abgeschlagen;abgetreten;afgetrapt;afsparket;avsparkad;"
            "décroché",
        ),
        Column(
            "x_mm",
            "number",
            "teat position as the box saw it, along the cow",
            "mm",
            titles="x;x position;pos x;x mm;along;along mm;teat x",
            expected=expected.TEAT_MM,
        ),
        Column(
            "y_mm",
            "number",
            "teat position as the box saw it, across the cow",
            "mm",
            titles="y;y position;pos y;y mm;across;across mm;teat y",
            expected=expected.TEAT_MM,
        ),
        Column(
            "z_mm",
            "number",
            "teat position as the box saw it, height",
            "mm",
            titles="z;z position;pos z;z mm;up;up mm;height;höhe;hoogte;højde;höjd;hauteur;teat z",
            expected=expected.TEAT_MM,
        ),
    ),
    within="visits",
)

BOX_LOG = Table(
    "box_log",
    "What a box wrote about itself.",
    key=("box", "at", "event"),
    happened="at",
    columns=(
        Column("box", "text", "which box", titles=_BOX),
        Column("at", "time", "when it happened", titles=_WHEN),
        Column(
            "event",
            "word",
            "what happened",
            words=(
                "filter_changed",
                "washed",
                "optics_cleaned",
                "arm_calibrated",
                "stopped",
                "started",
                "fault",
            ),
            titles="event;entry;action;what;log entry;ereignis;vorgang;meldung;gebeurtenis;actie;hændelse;"
            "händelse;événement",
        ),
        Column(
            "text",
            "text",
            "the box's own words",
            titles="text;remark;remarks;note;comment;description;bemerkung;beschreibung;tekst;opmerking;"
            "bemærkning;anmärkning;remarque;commentaire",
        ),
    ),
    kept_s=60 * DAY_S,
    latest=True,
    in_bulk=True,
)

COWS = Table(
    "cows",
    "What is true of a cow from a moment on.",
    key=("cow", "from"),
    happened="from",
    columns=(
        Column("cow", "text", "the cow's number on the farm", titles=_COW),
        Column(
            "from",
            "time",
            "the moment from which this row is true",
            titles=("since;from;so since;valid from;as of;seit;ab;gültig ab;sinds;vanaf;siden;fra;sedan;från;depuis"),
        ),
        Column(
            "group", "text", "group or herd part", titles="group;part of herd;pen;gruppe;groep;hold;grupp;groupe;lot"
        ),
        Column(
            "lactation",
            "count",
            "lactation number",
            titles="lactation;lactation number;parity;laktation;laktationsnummer;lactatie;lactatienummer;"
            "rang lactation",
            expected=expected.LACTATION,
        ),
        Column(
            "calved_on",
            "date",
            "day of the last calving",
            titles="calved;calving date;calved on;last calving;kalbedatum;gekalbt;abkalbung;kalfdatum;afgekalfd;"
            "kælvningsdato;kælvet;kalvningsdatum;kalvning;vêlage;date vêlage",
        ),
        Column(
            "milkings_allowed",
            "number",
            "milkings a day she is allowed",
            "1/d",
            titles="milkings allowed;milkings a day;milkings per day;visits a day;melkungen pro tag;"
            "melkingen per dag;malkninger pr dag;mjölkningar per dag;traites par jour",
            expected=expected.MILKINGS_A_DAY,
        ),
        Column(
            "status",
            "word",
            "in milk, dry, in milk with her milk withheld, or gone from the herd",
            words=("milking", "dry", "withheld", "gone"),
            titles="stage;status;state;stadium;zustand;toestand;stade;tilstand;tillstånd;état",
        ),
        Column(
            "withheld_until",
            "moment",
            "up to when her milk is withheld, if she is in milk",
            titles="withheld until;milk withheld until;withdrawal until;withdrawal ends;sperre bis;milchsperre bis;"
            "wartezeit bis;wachttijd tot;tilbageholdes til;karens till;délai jusqu'au",
        ),
        Column(
            "partial",
            "flag",
            "the row says only what has changed; all else of her stays as the row before has it",
            titles="partial;only changes;change only;nur änderungen",
        ),
    ),
    kept_s=60 * DAY_S,
    latest=True,
    in_bulk=True,
)

TANK = Table(
    "tank",
    "A reading or a laboratory result of the bulk tank.",
    key=("tank", "at"),
    happened="at",
    columns=(
        Column(
            "tank",
            "text",
            "which tank",
            titles=("tank;vessel;bulk tank;tank no;milchtank;melktank;mælketank;mjölktank;tank à lait"),
        ),
        Column("at", "time", "when it was read or sampled", titles=_WHEN),
        Column(
            "temperature_C",
            "number",
            "milk temperature",
            "degC",
            titles=("temperature;temp;celsius;degrees;milk temperature;temperatur;temperatuur;température"),
            expected=expected.TANK_DEG_C,
        ),
        Column(
            "litres",
            "number",
            "milk in the tank",
            "l",
            titles=("litres;liters;volume;amount;liter;menge;inhalt;inhoud;mængde;mängd;volym;quantité"),
            expected=expected.TANK_L,
        ),
        Column("cells_k_ml", "number", "somatic cells", "1000/ml", titles=_CELLS, expected=expected.TANK_CELLS_K_ML),
        Column(
            "bacteria_k_ml",
            "number",
            "bacteria, plate count at 30 °C",
            "1000/ml",
            titles="bacteria;plate;plate count;tbc;keimzahl;keime;kiemgetal;kimtal;bakterier;bakterietal;germes;"
            "bactéries",
            expected=expected.BACTERIA_K_ML,
        ),
    ),
    kept_s=120 * DAY_S,
    in_bulk=True,
)

COW_TESTS = Table(
    "cow_tests",
    "A cow's milk recording.",
    key=("cow", "at"),
    happened="at",
    columns=(
        Column("cow", "text", "the cow's number on the farm", titles=_COW),
        Column("at", "time", "when she was sampled", titles=_WHEN),
        Column("cells_k_ml", "number", "somatic cells", "1000/ml", titles=_CELLS, expected=expected.COW_CELLS_K_ML),
        Column(
            "milk_kg",
            "number",
            "milk of the day",
            "kg",
            titles=_MILK,
            expected=expected.DAY_KG,
        ),
    ),
    kept_s=400 * DAY_S,
    per_cow=True,
    in_bulk=True,
)

EXPORTED = (VISITS, QUARTER_ROWS, BOX_LOG, COWS, TANK, COW_TESTS)
"""The tables a feed map may fill."""

MEASURED = tuple(table for table in EXPORTED if not table.within)
"""Those of them that are stored by themselves."""

QUARTER_VALUES = tuple(c.name for c in QUARTER_ROWS.columns if c.name not in ("cow", "start", "box", "quarter"))
"""The values each quarter has; `visits` frames and the store carry them as `lf_milk_kg`, `rf_milk_kg`, ..."""
