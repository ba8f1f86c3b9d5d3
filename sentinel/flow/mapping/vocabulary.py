"""Plain words that column titles and cells use, in English, German, Dutch, Danish, Swedish and French.

Only for drafting a map (`draft`): nothing here is believed without being shown to a person.
"""

from __future__ import annotations

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

FIELD_WORDS: dict[str, dict[str, str]] = {
    "visits": {
        "cow": _COW,
        "start": "start;start time;begin;came in;entry;visit start;milking start;beginn;startzeit;melkbeginn;ankunft;"
        "begintijd;starttijd;starttid;ankomst;début;heure début;" + _WHEN,
        "box": _BOX,
        "duration_s": "duration;stay;visit duration;milking duration;milking time;time in box;dauer;melkdauer;"
        "aufenthalt;duur;melkduur;verblijf;varighed;malketid;varaktighet;mjölkningstid;durée;durée traite",
        "outcome": "result;outcome;ended;status;visit result;ergebnis;ausgang;resultaat;uitkomst;afloop;resultat;"
        "udfald;utfall;résultat;issue",
        "milk_kg": _MILK,
        "attach_s": "attach time;attachment time;time to attach;cups on;ansetzzeit;ansetzdauer;aansluittijd;"
        "påsætningstid;påsättningstid;temps branchement;temps pose",
        "attempts": "attempts;tries;attachment attempts;versuche;ansetzversuche;pogingen;forsøg;försök;essais;"
        "tentatives",
    },
    "quarters": {
        "cow": _COW,
        "start": "start;start time;begin;beginn;" + _WHEN,
        "box": _BOX,
        "quarter": "quarter;teat;viertel;strich;kwartier;kirtel;juverdel;quartier;trayon",
        "conductivity_mS_cm": "conductivity;cond;ec;ms/cm;leitfähigkeit;leitf;geleidbaarheid;geleiding;ledningsevne;"
        "konduktivitet;conductivité",
        "milk_kg": _MILK,
        "kicked_off": "kicked off;kick off;kick;off;cup off;abgeschlagen;abgetreten;afgetrapt;afsparket;avsparkad;"
        "décroché",
        "x_mm": "x;x position;pos x;x mm;along;along mm;teat x",
        "y_mm": "y;y position;pos y;y mm;across;across mm;teat y",
        "z_mm": "z;z position;pos z;z mm;up;up mm;height;höhe;hoogte;højde;höjd;hauteur;teat z",
    },
    "box_log": {
        "box": _BOX,
        "at": _WHEN,
        "event": "event;entry;action;what;log entry;ereignis;vorgang;meldung;gebeurtenis;actie;hændelse;händelse;"
        "événement",
        "text": "text;remark;remarks;note;comment;description;bemerkung;beschreibung;tekst;opmerking;bemærkning;"
        "anmärkning;remarque;commentaire",
    },
    "cows": {
        "cow": _COW,
        "from": "since;from;so since;valid from;as of;seit;ab;gültig ab;sinds;vanaf;siden;fra;sedan;från;depuis",
        "group": "group;part of herd;pen;gruppe;groep;hold;grupp;groupe;lot",
        "lactation": "lactation;lactation number;parity;laktation;laktationsnummer;lactatie;lactatienummer;"
        "rang lactation",
        "calved_on": "calved;calving date;calved on;last calving;kalbedatum;gekalbt;abkalbung;kalfdatum;afgekalfd;"
        "kælvningsdato;kælvet;kalvningsdatum;kalvning;vêlage;date vêlage",
        "milkings_allowed": "milkings allowed;milkings a day;milkings per day;visits a day;melkungen pro tag;"
        "melkingen per dag;malkninger pr dag;mjölkningar per dag;traites par jour",
        "status": "stage;status;state;stadium;zustand;toestand;stade;tilstand;tillstånd;état",
    },
    "tank": {
        "tank": "tank;vessel;bulk tank;tank no;milchtank;melktank;mælketank;mjölktank;tank à lait",
        "at": _WHEN,
        "temperature_C": "temperature;temp;celsius;degrees;milk temperature;temperatur;temperatuur;température",
        "litres": "litres;liters;volume;amount;liter;menge;inhalt;inhoud;mængde;mängd;volym;quantité",
        "cells_k_ml": _CELLS,
        "bacteria_k_ml": "bacteria;plate;plate count;tbc;keimzahl;keime;kiemgetal;kimtal;bakterier;bakterietal;germes;"
        "bactéries",
    },
    "cow_tests": {"cow": _COW, "at": _WHEN, "cells_k_ml": _CELLS, "milk_kg": _MILK},
}
"""Table and field to titles, parted by semicolons, in lower case."""

CELL_WORDS: dict[str, dict[str, str]] = {
    "outcome": {
        "milked": "milked;done;ok;complete;completed;finished;gemolken;fertig;vollständig;klaar;voltooid;malket;"
        "færdig;mjölkad;klar;trait;traite;terminé;complet",
        "incomplete": "incomplete;cut short;stopped early;partial;part;interrupted;unvollständig;abgebrochen;"
        "onvolledig;afgebroken;ufuldstændig;afbrudt;ofullständig;avbruten;incomplet;interrompu",
        "failed": "failed;fail;not attached;no cups;attachment failed;fehlgeschlagen;nicht angesetzt;mislukt;"
        "niet aangesloten;mislykket;ikke påsat;misslyckad;ej påsatt;échec;échoué",
        "refused": "refused;not due;sent on;rejected;no milking;abgewiesen;keine berechtigung;geweigerd;afvist;"
        "nekad;avvisad;refusé;refus",
    },
    "status": {
        "milking": "milking;in milk;lactating;melkend;laktierend;lacterend;malkende;mjölkande;en lait;lactation",
        "dry": "dry;trocken;trockenstehend;droog;gold;goldko;sin;tarie",
        "withheld": "withheld;milk kept out;milk withheld;discard;separated;gesperrt;sperre;weggooien;tilbageholdt;"
        "karens;écarté",
    },
    "event": {
        "filter_changed": "filter changed;new filter;filter;filterwechsel;neuer filter;filter vervangen;filterskift;"
        "filterbyte;filtre changé",
        "washed": "washed;system wash;wash;cleaning;spülung;reinigung;hauptreinigung;gereinigd;reiniging;vasket;vask;"
        "tvättad;diskad;lavage;nettoyage",
        "optics_cleaned": "optics cleaned;lens wiped;camera cleaned;kamera gereinigt;optik gereinigt;camera gereinigd;"
        "lens schoon;kamera renset;kamera rengjord;caméra nettoyée",
        "arm_calibrated": "arm calibrated;arm set;arm checked;arm eingestellt;arm kalibriert;arm afgesteld;"
        "arm kalibreret;arm kalibrerad;bras réglé",
        "stopped": "stopped;taken out;out of operation;angehalten;gestoppt;außer betrieb;gestopt;stoppet;stoppad;arrêt",
        "started": "started;put back;in operation;gestartet;in betrieb;gestart;startet;startad;démarrage",
        "fault": "fault;error;alarm;störung;fehler;storing;fout;fejl;fel;défaut;panne",
    },
    "quarter": {
        "LF": "lf;fl;left front;front left;vl;vorne links;links vorne;lv;linksvoor;vf;venstre for;avg;avant gauche",
        "RF": "rf;fr;right front;front right;vr;vorne rechts;rechts vorne;rv;rechtsvoor;hf;højre for;avd;avant droit",
        "LR": "lr;rl;lh;left rear;rear left;hl;hinten links;links hinten;la;linksachter;vb;venstre bag;arg;"
        "arrière gauche",
        "RR": "rr;rh;right rear;rear right;hr;hinten rechts;rechts hinten;ra;rechtsachter;hb;højre bag;ard;"
        "arrière droit",
    },
}
"""Word column to our word to the export's words, parted by semicolons, in lower case."""

QUARTER_FAMILIES: tuple[tuple[str, str, str, str], ...] = (
    ("LF", "RF", "LR", "RR"),
    ("FL", "FR", "RL", "RR"),
    ("LF", "RF", "LH", "RH"),
    ("VL", "VR", "HL", "HR"),
    ("LV", "RV", "LA", "RA"),
    ("VF", "HF", "VB", "HB"),
    ("AVG", "AVD", "ARG", "ARD"),
    ("left front", "right front", "left rear", "right rear"),
    ("front left", "front right", "rear left", "rear right"),
    ("vorne links", "vorne rechts", "hinten links", "hinten rechts"),
    ("links vorne", "rechts vorne", "links hinten", "rechts hinten"),
    ("linksvoor", "rechtsvoor", "linksachter", "rechtsachter"),
)
"""What the four quarters are called in column titles, in the order LF, RF, LR, RR."""
