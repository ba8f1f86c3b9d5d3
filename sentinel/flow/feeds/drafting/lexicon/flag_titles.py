"""What columns of yes and no are called that tell how a visit ended: which of our words such a title stands for."""

from __future__ import annotations

from functools import lru_cache

from sentinel.flow.feeds.drafting.lexicon.titles import plain
from sentinel.flow.feeds.drafting.lexicon.vocabulary import CELL_WORDS

TITLES: dict[str, str] = {
    "refused": "ref;refusal;denied;not allowed;no permission;abgew;abweisung;ohne anrecht;weigering;afvisning",
    "failed": "fail;failure;missed;attach failed;no attach;unattached;fehlversuch;fehlansatz;misluk;mislukking;fejl;"
    "misslyckande;echec",
    "incomplete": "inc;incompl;incompl milking;unfinished;not finished;not complete;unfin;aborted;abort;stopped;kick;"
    "kicked;kicked off;kick off;unvollst;abbruch;abgeschlagen;abgetreten;unfertig;onvoll;afgetrapt;niet klaar;ufuldst;"
    "afsparket;ofullst;avsparkad;inachevé;décroché;incompleto;incompleta;niepełne",
    "milked": "milked yes;was milked;gemolken ja",
}
"""Besides the words that cells use for it; from memory, as herdsmen and dictionaries have them."""

NOT_ONE = frozenset({"not milked", "nicht gemolken", "niet gemolken", "ikke malket", "ej mjolkad", "non traite"})
"""A visit without a milking was refused, or nothing was attached: a person has to say which."""

_LONGEST = 60
"""No such title is longer."""

_FILLERS = frozenset(
    "visit milking flag yn y n is was bei besuch melkung gemelk bezoek malkning mjolkning visite".split()
)


@lru_cache(maxsize=4096)
def flag_word(title: str) -> tuple[str, int]:
    """Our word that a title of a flag stands for, and how sure that is in percent; ("", 0) if it is none.

    >>> flag_word("Inc"), flag_word("Milking_refused"), flag_word("Box")
    (('incomplete', 95), ('refused', 95), ('', 0))
    """
    said = plain(title) if len(title) <= _LONGEST else ""
    bare = " ".join(word for word in said.split() if word not in _FILLERS)
    for text in (said, bare):
        if text in NOT_ONE:
            return "failed", 60
        for ours, words in _words().items():
            if text in words:
                return ours, 95
    return "", 0


@lru_cache(maxsize=1)
def _words() -> dict[str, frozenset[str]]:
    cells = CELL_WORDS["outcome"]
    return {
        ours: frozenset(plain(word) for text in (TITLES[ours], cells[ours]) for word in text.split(";")) - NOT_ONE
        for ours in ("refused", "failed", "incomplete", "milked")
    }
