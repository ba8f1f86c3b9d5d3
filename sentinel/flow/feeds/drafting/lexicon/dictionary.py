"""What the words in column titles mean, in fifteen languages: stems of words by concept, from memory.

Without accents and in lower case (æ is ae, ø is o, ß is ss, ł is l). A stem of four letters or more also begins longer
words; one marked with ~ is found inside words too, as German, Dutch and the Nordic languages put them together; a
shorter one is a word of its own. Titles of what no table has (weight, fat) are here so that they are told from it.

Only for drafting a map (`draft`): nothing here is believed without being shown to a person.
"""

from __future__ import annotations

from sentinel.flow.feeds.drafting.lexicon.further_languages import FURTHER

_STEMS: dict[str, str] = {
    "cow": "cow;cows;cow number;animal;anim;anml;kuh;kuhe;tier;tiernummer;ohrmarke;stallnummer;koe;koenummer;"
    "dier;diernummer;ko;konummer;kornr;ko nr;dyr;dyrenummer;djur;djurnummer;vache;vaca;vacca;vacche;bovin;"
    "krowa;krowy;zwierz;ear tag;eartag;oronmarke;oremaerke;crotal;capo;matricola;kolczyk;n travail;"
    "numero de travail;werknummer;levensnummer;"
    "stall nr;stallnr;tier nr;anim",
    "box": "box;boxid;boxes;stall;stand;stn;station;bay;robot;melkbox;melkplatz;melkstand;~melkplaats;boks;boksu;"
    "boksem;~malkeboks;~mjolkbox;bas;stalle;poste;puesto;plaza;estacion;postazione;stallo;stanowisko;"
    "milking unit;unit;parlour;parlor;box de traite;box udojowy;mu;"
    "bail;parlor stall",
    "tank": "tank;~tank;tnk;vessel;bulk;cuve;tanque;cisterna;serbatoio;zbiornik;refroidisseur;koeltank;silo;"
    "behalter;vat",
    "quarter": "quarter;qtr;udder;teat;~viertel;~euter;strich;~kwartier;uier;kirtel;~juverdel;~juver;quartier;"
    "mamelle;cuarto;cuarteron;ubre;quarto;cwiartk;cwiart;cwierc;wymie",
    "teat": "teat;zitze;speen;patte;spene;trayon;pezon;capezzolo;strzyk",
    "group": "group;grp;pen;herd part;herd section;part of herd;section;gruppe;~gruppe;herdenteil;abteil;groep;"
    "~groep;koppel;hold;grupp;avdelning;groupe;lot;lote;bande;corral;gruppo;recinto;grup;grupa",
    "time": "time;tm;clock;zeit;~zeitpunkt;uhrzeit;tijd;~tijdstip;tid;tidspunkt;klokken;klockslag;heure;horaire;"
    "hora;ora;godzina;czas;timestamp;time stamp;datetime;datetijd;moment;horodatage;zeitstempel;tidsstampel;"
    "when;kiedy;uur;ts",
    "date": "date;dt;day;datum;tag;dag;dato;jour;fecha;dia;data;giorno;dzien;~datum;~dato",
    "start": "start;started;begin;began;~beginn;beg;begyndt;came in;entered;entry;enter;entrance;arrival;arrive;"
    "arrived;anfang;aanvang;ankunft;ankomst;eintritt;betreten;aankomst;binnenkomst;binnen;debut;entree;arrivee;"
    "inicio;entrada;llegada;inizio;ingresso;entrata;arrivo;poczatek;wejsc;przybyc;~borjar;inpassage;intrade;"
    "starting;in",
    "end": "end;ended at;ending;finish;fin;left;leave;leaving;departure;depart;exit;went out;over;out;ende;"
    "austritt;verlassen;abgang;~ende;einde;~einde;eindtijd;vertrek;slut;~slut;slutar;sluttid;afsluttet;"
    "utpassage;sortie;salida;fine;uscita;koniec;wyjsc",
    "logged": "logged;read;read at;taken;recorded;registered;erfasst;geregistreerd;registreret;registrerad;"
    "enregistr;registrado;registrato;zapisano;survenu;occurred",
    "from": "since;from;valid;effective;as of;seit;ab;gultig;gilt;stand vom;sinds;vanaf;geldig;ingang;siden;fra;"
    "gaelder;sedan;fran;galler;depuis;a partir;valable;des;desde;vigente;valid from;da;dal;valido;od;"
    "obowiazuje;wazne;since when;fr o m",
    "sampled": "sample;sampled;sampling;smpl;test day;test date;testday;test;analisis;tst;probe;~probe;prufdatum;"
    "pruftag;~prufung;~monster;bemonster;prove;~prov;prov;provdatum;prelev;prelevement;controle;control;"
    "analyse;analysis;muestr;probka;probki;proby;probie;campion;prelievo;controllo;~kontrol;mpr;recording",
    "calved": "calved;calving;calv;calvdt;clv;freshened;kalbe;kalbung;~kalbung;kalbedatum;abkalb;kalving;"
    "~kalving;kalf;kalfdatum;afgekalfd;afkalf;gekalbt;gekalfd;kaelv;~kaelvning;kalvning;kalvat;kalvad;velage;"
    "vele;parto;partum;wyciel;ociel;"
    "freshening;fresh date;abk",
    "duration": "duration;durat;dur;length;stay;occupied;time in;time inside;dauer;~dauer;aufenthalt;verweil;"
    "duur;~duur;verblijf;varig;opholdstid;varaktighet;uppehall;duree;temps dans;temps de traite;"
    "temps de presence;duracion;estancia;permanen;durata;dlugosc;czas trwania;czas wizyty;czas doju;pobyt;"
    "boxenzeit;boxtijd;besokstid;malketid;mjolkningstid;melktijd;melkzeit;tid i box;time in box;milking time;"
    "milk time;tiempo en;tempo in;tiempo de ordeno;tempo di mungitura;length of",
    "visit": "visit;vis;besuch;~besuch;bezoek;~bezoek;besog;besok;visite;visita;wizyt",
    "milking": "milking;milkings;melkung;melkungen;melken;melking;melkingen;malkning;malkninger;mjolkning;"
    "mjolkningar;traite;traites;ordeno;ordenos;mungitur;doj;doju;doje",
    "outcome": "result;rslt;res;outcome;outc;ended;conclusion;how it;ergebnis;ausgang;resultat;~resultat;"
    "resultaat;~resultaat;uitkomst;afloop;~afloop;udfald;utfall;issue;esito;risultato;resultado;wynik;rezultat;"
    "besuchsart;visit type;type of visit;type de visite;tipo de visita;soort bezoek;~ergebnis",
    "milk": "milk;mlk;~milch;~melk;melkgift;gift;~gemelk;maelk;~maelk;mjolk;~mjolk;lait;leche;latte;mlek;mleko;udoj",
    "yield": "yield;yld;kilos;ydelse;~ydelse;avkastning;production;prod;produccion;produzione;produktion;"
    "productie;opbrengst;~ertrag;wydajnosc;harvested;given",
    "amount": "amount;amt;quantity;menge;~menge;hoeveelheid;~hoeveelheid;maengde;~maengde;mangd;~mangd;quantite;"
    "cantidad;quantita;ilosc;total;gesamt;totaal;totalt;"
    "mg;gvn",
    "attach": "att;attach;attached;attachment;cups on;cup on;ansetz;~ansetz;anhang;aansluit;aansluiten;aanhang;"
    "pasaetning;pasattning;pakoppl;branchement;pose;enganche;colocacion;puesta;pezoneras;attacco;zakladan;"
    "zalozen;podlacz;att tm;"
    "prep;preparation;to cup",
    "attempts": "attempt;attempts;tries;att;natt;versuche;~versuche;ansetzversuche;~vorgange;poging;~poging;"
    "~pogingen;forsog;forsok;~forsok;essai;essais;tentative;tentatives;intento;intentos;tentativi;liczba prob",
    "flow": "flow;flw;fl;~fluss;melkstroom;~stroom;snelheid;melksnelheid;flode;~flode;~flow;debit;flujo;caudal;"
    "flusso;przeplyw",
    "peak": "peak;pk;max;maximum;maximal;highest;top;hochst;hochster;spitzen;~spitze;hoogste;piek;hojeste;hogsta;"
    "topp;maks;pic;pointe;maximo;pico;mas alto;massimo;picco;najwyzsz;najwieksz;szczyt",
    "conductivity": "conductivity;conduct;conduc;cond;cnd;ec;leitf;leitfahig;leitwert;geleid;geleiding;"
    "ledningsevne;ledningsform;kondukt;conductiv;conducib;conduttiv;przewod;electrical",
    "kicked": "kick;kicked;kick off;kicked off;off;off early;ko;cup off;abgeschlagen;abgetreten;abgefallen;"
    "afgetrapt;afgevallen;afspark;avspark;decroch;tombe;patada;coce;caida;scalci;calci;caduta;skopan;zrzuc;"
    "spadl",
    "x": "x;pos x;x pos;lengte;along;lengthwise;langs;fwd;forward;lengthways",
    "y": "y;pos y;y pos;breedte;across;sideways;quer;tvars;sideways;side;sid;crosswise",
    "z": "z;pos z;z pos;up;height;hohe;hoogte;hojde;hojd;hauteur;altura;altezza;wysokosc;ht;hgt",
    "event": "event;evt;evtype;entry kind;action;ereignis;~ereignis;vorgang;aktion;meldung;melding;gebeurtenis;"
    "voorval;actie;haendelse;handling;handelse;atgard;evenement;operation;evento;suceso;accion;azione;accaduto;"
    "zdarzen;akcja;what;log entry;occurrence;"
    "ev;job done",
    "text": "text;txt;zusatz;remark;rem;note;notes;comment;cmt;description;detail;details;explanation;bemerk;anmerk;"
    "hinweis;beschreib;tekst;opmerk;omschrijving;toelichting;bemaerk;anmark;notering;beskriv;remarque;observ;"
    "texto;descri;nota;testo;uwag;opis;message",
    "lactation": "lactation;lactations;lact;parity;par;calvings;laktation;lakt;laktationsnummer;kalbungen;"
    "lactatie;lactatienr;pariteit;rang;lactacion;lactancia;lattazion;laktacj;partos;parti;wycielenia;"
    "kalvning nr;"
    "ln;lacn",
    "allowed": "allowed;permitted;max milkings;milkings per day;milkings a day;visits a day;mlk per day;erlaubt;"
    "zugelassen;melkungen pro tag;toegestan;tillatna;tilladt;permis;permises;autoris;traites par jour;permitid;"
    "permess;dozwol;ordenos por dia;mungiture al giorno;doje dziennie;malkninger pr dag;melkingen per dag;"
    "doje na dzien;milkings d;"
    "anrecht;anr",
    "withheld": "withheld;withhold;withdrawal;milchsperre;sperrfrist;wartezeit;wachttijd;tilbageholdes;~karens;sperre",
    "partial": "partial;only changes;changes only",
    "status": "status;stat;sts;state;stage;zustand;stadium;~status;toestand;fase;tilstand;tillstand;lage;etat;"
    "statut;stade;situacion;estado;stato;stan;situation",
    "temperature": "temperature;temp;tmp;~temperatur;temperatuur;~temperatuur;temperatura;celsius;degrees",
    "litres": "litres;liters;litre;liter;litri;litros;litry;volume;vol;volym;volumen;objetosc;inhalt;~inhalt;"
    "inhoud;~inhoud;innehall;contenu;contenido;contenuto;contents;level;lvl;fullstand;"
    "gal;gallons",
    "cells": "cell;cells;scc;scck;somatic;zell;~zellzahl;zellgehalt;celgetal;~celgetal;cellen;~celler;celltal;"
    "celletal;cellul;ccs;celula;rcs;cellule;komor;lks;bmscc;btscc;celler;"
    "zz;bmcc;iccc;ccs",
    "bacteria": "bacteria;bact;bacterial;plate;plate count;tbc;~keim;keimzahl;kiemgetal;kiem;kimtal;bakter;"
    "~bakterie;bacterie;germe;germes;germen;flore;batter;carica;cbt;bacterio;"
    "kz;spc",
    "weight": "weight;wt;body;bodywt;live weight;~gewicht;vaegt;vikt;~vikt;poids;peso;waga;masa",
    "feed": "feed;conc;concentrate;futter;~futter;kraftfutter;voer;~voer;foder;~foder;aliment;concentre;pienso;"
    "concentrado;mangime;concentrato;pasza;intake;"
    "cake;kf;brok;grain",
    "dim": "days in milk;dim;day of lactation;lact day;laktationstag;tage in milch;lactatiedagen;dagen in melk;"
    "dage fra;laktationsdag;jours de lactation;jours en lait;dias en leche;dias de lact;giorni di latt;"
    "giorni in latte;dni lakt;dzien lakt;daysinmilk;"
    "l tag",
    "fat": "fat;fett;vet;fedt;matiere grasse;tb;grasa;grasso;tluszcz",
    "protein": "protein;prot;eiweiss;eiwit;tp;proteina;bialko",
    "interval": "interval;~intervall;~interval;zwischenmelkzeit;hours since;since last;intervalo;intervallo;"
    "odstep;przerwa;int hr;intervl",
    "daily": "24 h;24h;24;24 u;24 t;a day;per day;of the day;daily;dly;day;tages;~tages;dagmelk;dagproductie;"
    "~dag;dagsydelse;dygn;~dygn;par jour;du jour;journalier;por dia;del dia;diaria;al giorno;giornal;dziennie;"
    "dobow;pr dag;per dag;van de dag;pro tag;td;per dygn;dagmelkgift",
    "expected": "expected;exp;predicted;predict;erwartet;erwartete;verwacht;verwachte;forventet;forvantad;"
    "attendu;prevu;esperad;previst;atteso;spodziew;oczekiw;planowan;beraknad;due;"
    "pred;estimated;estimate",
    "due": "due;calving due;calving expected;expected calving;kalbetermin;kalft op;parto previsto;parto esperado;"
    "parto atteso;velage prevu;velage attendu;planowane wyciel",
    "transponder": "transponder;rfid;collar;halsband;halsbaand;responder;collier;boucle;collare;obroza;"
    "electronic;tag;transpond",
    "name": "name;nm;kuhname;koenaam;naam;navn;namn;nom;nombre;nome;imie;nazwa",
    "birth": "birth;geboorte;~geboorte;geburts;born;dob;gebor;geburt;fodt;fodd;naissance;ne le;nacim;nascita;"
    "nata;urodz",
    "insemination": "insemin;served;ai;last ai;besamung;~besamung;semin;fecondaz;ia",
    "breed": "breed;brd;rasse;ras;race;raza;razza;rasa",
    "average": "average;avg;mean;durchschn;mittler;gemiddeld;gem;gns;medel;moyen;moy;promedio;medio;sredni",
    "row": "row;seq;line;recno;rec no;record;lfd;zeile;volgnr;regel;linje;lopnr;ligne;fila;linea;riga;lp;wiersz",
    "activity": "activ;activity;act;steps;aktiv;beweg;mouvement;movimento;ruch",
    "rumination": "rumin;rum;cud;wiederk;herkauw;drovtyg;idissl;rumia;przezuw",
    "operator": "operator;oper;user;usr;person;logged by;benutzer;gebruiker;persoon;anvandare;utilisateur;"
    "personne;usuario;persona;utente;uzytkownik;osoba;created by",
    "agitator": "agitat;stir;stirrer;ruhr;roer;omror;brassage;mieszan",
    "server": "received;rcvd;server;srv;servers;stored;synced;uploaded;transferred;eingang;eingegangen;gespeichert;"
    "ubertragen;opgeslagen;ontvangen;modtaget;gemt;mottagen;sparad;recu;transmis;guardado;recibido;ricevuto;salvato;"
    "odebrano",
    "previous": "previous;prev;prv;vorige;vorher;vormonat;vorprobe;vorm;vorig;precedent;prec;precedente;poprzedni;"
    "forrige;foregaende;preceding",
    "room": "room;ambient;air;outside;ice water;eiswasser;eisw;raumluft;raum;raumtemperatur",
    "code": "code;version;vers;firmware;serial",
}

CONCEPTS: dict[str, str] = {
    concept: f"{stems};{FURTHER[concept]}" if concept in FURTHER else stems for concept, stems in _STEMS.items()
}
"""Concept to its stems, parted by semicolons."""

ABBREVIATED = (
    "animal attempts attach attached average box breed calved calving cells concentrate conductivity cow date day "
    "duration event expected fat feed finish flow group interval kicked lactation litres maximum milk name number peak "
    "production quarter quantity record remark result rumination sample station status tank teat temperature text time "
    "visit volume weight yield"
).split()
"""English words that titles shorten to some of their letters: MlkYld, CalvDt."""

MEANS: dict[str, tuple[str, str]] = {
    # table.field: what its title says, and what it may say besides
    "visits.cow": ("cow", ""),
    "visits.start": ("start time date", "visit milking milk"),
    "visits.box": ("box", "milking"),
    "visits.duration_s": ("duration", "visit milking milk box time"),
    "visits.outcome": ("outcome status", "visit milking milk end"),
    "visits.milk_kg": ("milk yield amount", "milking visit outcome weight"),
    "visits.attach_s": ("attach", "time duration amount"),
    "visits.attempts": ("attempts", "attach amount"),
    "visits.peak_flow_kg_min": ("peak flow", "milk amount"),
    "quarters.cow": ("cow", ""),
    "quarters.start": ("start time date", "visit milking"),
    "quarters.box": ("box", "milking"),
    "quarters.quarter": ("quarter teat", "cow"),
    "quarters.conductivity_mS_cm": ("conductivity", "milk quarter average peak"),
    "quarters.milk_kg": ("milk yield amount", "quarter milking weight"),
    "quarters.kicked_off": ("kicked", "quarter attach"),
    "quarters.x_mm": ("x", "teat quarter"),
    "quarters.y_mm": ("y", "teat quarter"),
    "quarters.z_mm": ("z", "teat quarter"),
    "box_log.box": ("box", "milking"),
    "box_log.at": ("time logged date", "event"),
    "box_log.event": ("event", "text code start"),
    "box_log.text": ("text", "event"),
    "cows.cow": ("cow", ""),
    "cows.from": ("from", "date time status"),
    "cows.group": ("group", "cow yield"),
    "cows.lactation": ("lactation", "amount"),
    "cows.calved_on": ("calved", "date time"),
    "cows.milkings_allowed": ("allowed", "milking visit daily date peak milk amount"),
    "cows.status": ("status", "cow yield milk lactation"),
    "cows.withheld_until": ("withheld", "milk date time end"),
    "cows.partial": ("partial", "status"),
    "tank.tank": ("tank", "milk"),
    "tank.at": ("time sampled logged date", "tank daily"),
    "tank.temperature_C": ("temperature", "milk tank"),
    "tank.litres": ("litres amount", "milk tank"),
    "tank.cells_k_ml": ("cells", "amount tank milk"),
    "tank.bacteria_k_ml": ("bacteria", "amount tank milk"),
    "cow_tests.cow": ("cow", ""),
    "cow_tests.at": ("sampled date time", "milk daily yield"),
    "cow_tests.cells_k_ml": ("cells", "amount milk sampled"),
    "cow_tests.milk_kg": ("milk yield amount daily", " sampled date weight"),
}
"""For the score of a title: any word of the first says it, those of the second fit; all others speak against it."""

UNITS: dict[str, str] = {
    "kg": "kg;kilos;kgm;kilogram;kilograms;kilogramm;kilo",
    "lb": "lb;lbs;pound;pounds;lbr",
    "l": "l;ltr;ltrs;litres;liters;litre;liter;litri;litros;litry",
    "s": "s;sec;sek;secs;second;seconds;sekunden;seconden;secondes;segundos;secondi",
    "min": "min;mins;minutes;minuten;minuter;minuti;minutos",
    "min:sec": "min:s;mm:ss;m:s;min:sec;m:ss",
    "h:min:sec": "h:m:s;hh:mm:ss;h:min:s;h:mm:ss",
    "h:min": "h:min;hh:mm;h:mm",
    "mS/cm": "ms/cm",
    "uS/cm": "us/cm;µs/cm;μs/cm",
    "mS/m": "ms/m",
    "degC": "°c;degc;celsius;cel;gradc;ºc",
    "degF": "°f;degf;fahrenheit;ºf",
    "1000/ml": "1000/ml;x1000;x1000/ml;k/ml;tsd/ml;tsd./ml;tausend/ml;*1000;×1000;10^3/ml;103/ml;1000",
    "cells/ml": "/ml;1/ml;cells/ml;cfu/ml",
    "kg/min": "kg/min;kg/m",
    "lb/min": "lb/min;lbs/min",
    "g/min": "g/min;gr/min",
    "g": "g;gr;gram;grams;gramm",
    "gallon": "gal;gallon;gallons;gals",
    "hl": "hl;hectolitre;hectoliter;hektoliter",
    "l/min": "l/min",
    "mm": "mm",
    "cm": "cm",
}
"""Unit as a map writes it, to how titles write it."""
