"""What the words in column titles mean in Finnish, Portuguese, Norwegian, Czech and Estonian: stems, from memory.

Written as in `dictionary`, of which they are a part; what those languages write as another one there is left out.
"""

from __future__ import annotations

FURTHER: dict[str, str] = {
    "cow": "lehma;elain;lehman nro;elainnro;elaimen nro;korvanumero;korvamerkki;kunr;ku nr;ku;oremerke;individ;"
    "brinco;krava;kravy;zvire;dojnice;cislo kravy;usni cislo;lehm;loom;looma nr",
    "box": "asema;lypsyasema;robotti;lypsypaikka;lypsyboksi;basnr;~melkeboks;posto;baia;posto de ordenha;stani;"
    "dojici stani;dojici box;lypsikoht;lupsikoht",
    "tank": "sailio;tankki;~sailio;tanque;nadrz;jahuti;piimatank",
    "quarter": "neljannes;utareneljannes;utare;ubere;ctvrt;ctvrti;ctvrtka;vemeno;veerand;udar",
    "teat": "vedin;nanni;teto;tetos;struk;struku;nisa",
    "group": "ryhma;osasto;avdeling;binge;grupo;lote;skupina;staj;ruhm",
    "time": "aika;kello;klo;kellonaika;ajankohta;aikaleima;tidspunkt;kl;horario;cas;okamzik;hodina;aeg;kellaaeg",
    "date": "pvm;paiva;paivamaara;paivays;datum;kuupaev;paev",
    "start": "alku;alkoi;alkuaika;saapui;saapuminen;tulo;tuloaika;sisaan;aloitus;inn;begynte;startet;ankomst;chegada;"
    "inicio;entrada;prichod;zacatek;vstup;algus;saabumine;sisenemine;ent",
    "end": "loppu;paattyi;loppuaika;lahti;lahto;lahtoaika;poistui;ulos;lopetus;ut;slutt;avsluttet;saida;fim;termino;"
    "odchod;konec;vystup;lopp;lahkumine;valjumine",
    "from": "alkaen;lahtien;voimassa;gjelder;gyldig;vigencia;valido;plati od;platnost;plati;alates;kehtib",
    "sampled": "nayte;naytepaiva;~nayte;koelypsy;mittalypsy;koepaiva;provedato;amostra;coleta;controle leiteiro;"
    "vzorek;odber;kontrola uzitkovosti;kontrola;proov;kontroll",
    "calved": "poikinut;poiki;poikima;poikiminen;poikimapaiva;kalvet;kalving;kalvingsdato;pariu;oteleni;otelena;"
    "poegimine;poegis",
    "duration": "kesto;kesti;viipyma;oloaika;kayntiaika;lypsyn kesto;varighet;opphold;oppholdstid;"
    "tid i boks;duracao;permanencia;tempo de ordenha;tempo no box;pobyt;doba;trvani;doba dojeni;kestus",
    "visit": "kaynti;kaynnin;besok;visita;navsteva;kulastus",
    "milking": "lypsy;lypsyn;lypsyt;lypsyja;melking;melkinger;ordenha;ordenhas;dojeni;lups;lupsi",
    "outcome": "tulos;lopputulos;utfall;resultat;desfecho;resultado;vysledek;tulemus",
    "milk": "maito;maidon;maitoa;~maito;leite;mleko;mleka;piim;piima",
    "yield": "tuotos;~tuotos;lypsetty;producao;nadoj;dojivost;toodang",
    "amount": "maara;~maara;yhteensa;mengde;~mengde;quantidade;qtde;mnozstvi;kogus",
    "attach": "kiinnitys;kiinnitysaika;~kiinnitys;liitos;pasetting;pasett;tilkobling;colocacao;acoplamento;teteiras;"
    "encaixe;nasazeni;pripojeni;kinnitus",
    "attempts": "yritys;yritykset;yrityksia;yrityskerrat;forsok;antall forsok;tentativas;pokus;pokusy;pokusu;katsed",
    "flow": "virtaus;~virtaus;virtaama;strom;melkestrom;fluxo;vazao;prutok;vool",
    "peak": "suurin;huippu;~huippu;maksimi;hoyeste;maks;maximo;nejvyssi;maximalni;suurim",
    "conductivity": "johtokyky;~johtokyky;johtavuus;sahkonjohtavuus;johtok;konduktivitet;condutividade;condut;"
    "vodivost;juhtivus",
    "kicked": "potkaistu;potku;potkaisu;irronnut;sparket;spark;sparket av;coice;chute;skopnuto;skopnuti;kopnuti;lootud",
    "x": "pituus;pituussuunta;langs;comprimento;podelne;pikkus",
    "y": "leveys;sivuttain;sivu;tvers;largura;pricne;sirka;laius",
    "z": "korkeus;hoyde;altura;vyska;korgus",
    "event": "tapahtuma;~tapahtuma;toimenpide;hendelse;~hendelse;ocorrencia;evento;udalost;zasah;sundmus",
    "text": "huomautus;huom;teksti;selite;kuvaus;viesti;kommentti;lisatieto;merknad;kommentar;beskrivelse;observacao;"
    "observacoes;obs;descricao;poznamka;popis;zprava;markus",
    "lactation": "lypsykausi;laktaatio;poikimakerta;poikimakerrat;laktasjon;laktasjonsnr;kalvingsnr;lactacao;"
    "ordem de parto;numero de partos;n de partos;laktace;poradi laktace;laktatsioon",
    "allowed": "sallitut;sallittu;sallittuja;tillatte;tillatt;permitidas;permitida;povolena;povolene;povoleno;lubatud",
    "status": "tila;vaihe;tilstand;situacao;estado;stav;seisund",
    "temperature": "lampotila;~lampotila;lampo;temperatuur;teplota;~teplota",
    "litres": "litrat;litraa;litra;tilavuus;sisalto;volum;innhold;volume;nivel;objem;litru;obsah;hladina;maht;liitrit",
    "cells": "solut;solu;soluluku;solupitoisuus;somaattiset;celletall;~celletall;celulas;celulas somaticas;bunky;"
    "somaticke;psb;pocet somatickych;rakud;somaatilised",
    "bacteria": "bakteerit;bakteeri;~bakteeri;kimtall;bacterias;ctb;contagem bacteriana;mikroorganismy;cpm;bakterid",
    "weight": "paino;elopaino;vekt;~vekt;hmotnost;vaha;kaal",
    "feed": "rehu;~rehu;vakirehu;kraftfor;~kraftfor;racao;concentrado;krmivo;jadro;joosoot",
    "dim": "lypsypaiva;lypsypaivia;dager i melk;laktasjonsdag;dias em leite;dias em lactacao;dny laktace;den laktace;"
    "laktatsioonipaev",
    "fat": "rasva;rasvapit;gordura;tuk;rasv",
    "protein": "valkuainen;valkuais;proteiini;bilkovina;bilkoviny;valk",
    "interval": "vali;lypsyvali;~vali;intervall;mezidobi;vahe",
    "daily": "vrk;vuorokausi;paivassa;paivamaito;paivatuotos;dogn;~dogn;dognmelk;diario;diaria;do dia;por dia;denni;"
    "za den;paevas",
    "expected": "odotettu;odotus;ennuste;arvioitu;ventet;esperado;esperada;prevista;ocekavany;ocekavane;predpoklad;"
    "oodatav",
    "due": "odotettu poikiminen;forventet kalving;parto previsto;termin oteleni;ocekavane oteleni",
    "transponder": "panta;transponderi;tunnistin;colar;obojek;cip;transponder;kaelarihm",
    "name": "nimi;navn;jmeno;nome",
    "birth": "syntynyt;syntyma;syntymaaika;nascimento;narozena;narozeni;sundinud;synniaeg",
    "insemination": "siemennys;siemennetty;siemen;inseminert;inseminacao;inseminace;seemendus",
    "breed": "rotu;rase;raca;plemeno;toug",
    "average": "keski;keskim;keskiarvo;keskivirtaus;keskimaarainen;gjennomsnitt;snitt;middel;medio;media;prumer;"
    "prumerny;stredni;keskmine",
    "row": "rivi;rivinro;rad;linha;radek;rida",
    "activity": "aktiivisuus;aktivitet;atividade;aktivita;aktiivsus",
    "rumination": "marehtiminen;marehdinta;drovtygging;ruminacao;prezvykovani;malets",
    "operator": "kayttaja;henkilo;tekija;bruker;operador;usuario;obsluha;uzivatel;kasutaja",
    "agitator": "sekoitin;omrorer;rorer;agitador;michadlo;michani;segaja",
    "server": "tallennettu;vastaanotettu;palvelin;lagret;mottatt;gravado;recebido;servidor;ulozeno;prijato;salvestatud",
    "previous": "edellinen;edelliset;forrige;anterior;predchozi;minule;eelmine",
    "room": "huone;huoneen;ulkolampo;ymparisto;romtemp;romtemperatur;utetemp;ambiente;vzduch;okoli;ruum",
}
"""Stems by concept."""
