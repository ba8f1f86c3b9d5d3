"""Plain words that cells use, in English, German, Dutch, Danish, Swedish, French, Spanish, Italian and Polish.

What whole columns are called is declared with them (`flow/tables`).

Only for drafting a map (`draft`): nothing here is believed without being shown to a person.
"""

from __future__ import annotations

CELL_WORDS: dict[str, dict[str, str]] = {
    "outcome": {
        "milked": "milked;done;ok;complete;completed;finished;gemolken;fertig;vollständig;klaar;voltooid;malket;"
        "færdig;fuld;mjölkad;klar;trait;traite;terminé;complet;milking;ordeñado;completo;munto;completa;mungitura;"
        "wydojono;zakończony",
        "incomplete": "incomplete;cut short;stopped early;partial;part;interrupted;unvollständig;abgebrochen;"
        "onvolledig;afgebroken;ufuldstændig;delvis;afbrudt;ofullständig;avbruten;incomplet;interrompu;interrumpido;"
        "interrotta;interrotto;niepełny",
        "failed": "failed;fail;not attached;no cups;attachment failed;fehlgeschlagen;nicht angesetzt;mislukt;"
        "niet aangesloten;mislykket;ikke påsat;misslyckad;ej påsatt;échec;échoué;not milked;fracasado;"
        "mancato;nie założono",
        "refused": "refused;not due;sent on;rejected;no milking;abgewiesen;durchgelassen;"
        "keine berechtigung;geweigerd;afvist;sendt videre;"
        "nekad;avvisad;refusé;refus;let go;turned away;rechazado;rifiutata;odrzucona;refusée",
    },
    "status": {
        "milking": "milking;in milk;lactating;melkend;laktierend;lacterend;malkende;mjölkande;en lait;lactation;"
        "lactating cow;en leche;in latte;in lattazione;w laktacji",
        "dry": "dry;trocken;trockenstehend;droog;gold;goldko;sin;tarie;seca;asciutta;sucha",
        "withheld": "withheld;milk kept out;milk withheld;discard;separated;gesperrt;sperre;weggooien;"
        "tilbageholdt;karens;écarté;leche apartada;latte separato;mleko odrzucane",
    },
    "event": {
        "filter_changed": "filter changed;new filter;filter;filterwechsel;neuer filter;filter vervangen;"
        "filterskift;filterbyte;filtre changé;filtro cambiado;filtro cambiato;nowy filtr",
        "washed": "washed;system wash;wash;cleaning;spülung;reinigung;hauptreinigung;gereinigd;reiniging;vasket;"
        "vask;tvättad;diskad;lavage;nettoyage;system wash ended;main wash;lavado;lavato;umyto",
        "optics_cleaned": "optics cleaned;lens wiped;camera cleaned;kamera gereinigt;optik gereinigt;"
        "camera gereinigd;lens schoon;kamera renset;kamera rengjord;caméra nettoyée;lens cleaned;"
        "cámara limpiada;limpieza de cámara;telecamera pulita;kamera wyczyszczona",
        "arm_calibrated": "arm calibrated;arm set;arm checked;arm eingestellt;arm kalibriert;arm afgesteld;"
        "arm kalibreret;arm kalibrerad;bras réglé;brazo ajustado;calibración del brazo;braccio regolato;"
        "ramię ustawione",
        "stopped": "stopped;taken out;out of operation;angehalten;gestoppt;außer betrieb;gestopt;stoppet;stoppad;"
        "arrêt;detenido;fermato;stop;abgeschaltet",
        "started": "started;put back;in operation;gestartet;in betrieb;gestart;startet;startad;démarrage;"
        "iniciado;avviato;start",
        "fault": "fault;error;alarm;störung;fehler;storing;fout;fejl;fel;défaut;panne;fallo;errore;błąd",
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
