"""Plain words that cells use, and quarters in column titles, in English, German, Dutch, Danish, Swedish and French.

What whole columns are called is declared with them (`flow/tables`).

Only for drafting a map (`draft`): nothing here is believed without being shown to a person.
"""

from __future__ import annotations

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
