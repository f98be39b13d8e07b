"""What a phrase in a service log says: position, action and cause, or that it is not sure.

A phrase is sure only if every word of it is known and it can mean one thing: a word too many may
turn everything round (*front blade not replaced*).
"""

import html
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from wearcast.logbook.schema.spelling import one_slip
from wearcast.logbook.schema.trade_words import (
    ALSO,
    BOTH,
    COUNTS,
    DONE,
    ELSEWHERE,
    FILLERS,
    PLACES,
    THINGS,
    UNTOUCHED,
    VOID,
    WHY,
)

LONGEST_PHRASE = 200
"""Letters; a longer text is a story, not a phrase."""
LEAST_CORRECTED = 5
"""Letters of a word that a slip of the pen is looked for in."""
_CLAUSE = re.compile(r"[,;+&\n]|/(?=\s)|(?<=\s)/|\.\s|\s-\s|[()]")
_WORD = re.compile(r"[a-z]+|[0-9]+x?")
_SHORT_SLASHES = re.compile(r"\b([a-z])/([a-z])\b")
_METER = re.compile(
    r"(?:@|\b(?:at|bei|a|op)\b)?\s*\b[0-9][0-9.,]*\s?(?:h|hrs?|hours|std|stunden|heures|horas|uur)\b\.?"
)
"""The meter in a phrase says nothing of what was done: *front blade turned @ 1,234 h*."""
_NUMBER = re.compile(r"\b[0-9]+(?:st|nd|rd|th)?\b")
_TAG = re.compile(r"<[^<>]{1,40}>")
"""Marks of a web page, which exports of tickets leave in their texts."""
_TO_DO = (
    r"(?:replace|replacement|renewal?|exchange|change|swap|turn|rotate|rotation|flip|fit|install)\b"
)
_AHEAD = re.compile(
    rf"\b(?:to|for|due)\s+(?:an?\s+|the\s+)?{_TO_DO}|\bdue\b(?!\s+to\b).*\b{_TO_DO}"
    rf"|\b{_TO_DO}.*\bdue\b(?!\s+to\b)"
    r"|\b(?:a|por)\s+(?:re[mt]\w+er|changer|tourner|cambiar|sustituir|reemplazar|girar|voltear)\b"
    r"|\bfit for\b"
)
"""What is still to be done or was not: *due for replacement*, *to change*, *fit for use*."""
_SHORT = {"l": "left", "r": "right"}
"""Places in one letter: sure beside a brush or a pad."""
_ORDER = ("left", "right", "front", "rear", "centre", "main", "side")


class Meaning(NamedTuple):
    """One thing that a phrase says was done; blank where it does not say."""

    position: str = ""
    action: str = ""
    cause: str = ""


class Known(NamedTuple):
    """What the records say elsewhere, as far as it is sure."""

    positions: frozenset[str] = frozenset()
    """Positions that they name; *both brushes* are two of them."""
    words: frozenset[str] = frozenset()
    """Words that stand in them; a slip of the pen can be one of these only."""


NOTHING_KNOWN = Known()


@dataclass(frozen=True, slots=True)
class Clause:
    """The known words of one part of a phrase."""

    things: tuple[str, ...]
    places: tuple[str, ...]
    actions: tuple[str, ...]
    causes: tuple[str, ...]
    both: bool
    strange: bool
    """True if a word is not known."""


@lru_cache(20_000)
def plain(text: str) -> str:
    """The text in small letters without accents."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter))


def heading_words(text: str) -> str:
    """A heading's words with single blanks between, as the lists of words have them."""
    bare = re.sub(r"\([^)]*\)|\[[^\]]*\]|\s#[0-9]+$", " ", plain(text))
    return " ".join(re.findall(r"[a-z]+|[0-9]+", bare))


@lru_cache(20_000)
def meanings(phrase: str, known: Known = NOTHING_KNOWN) -> tuple[Meaning, ...] | None:
    """What the phrase says, one entry a thing done; None if that is not sure.

    Parameters
    ----------
    phrase : str
        As written.
    known : Known
        What these records say elsewhere.
    """
    if not phrase.strip() or len(phrase) > LONGEST_PHRASE or _AHEAD.search(plain(phrase)):
        return None
    clauses = [_clause(part, known.words) for part in _parts(phrase)]
    if not clauses or any(clause.strange for clause in clauses):
        return None
    return _told_by(clauses, known.positions)


def says_elsewhere(phrase: str) -> bool:
    """Whether a phrase is of the machine's other parts alone."""
    words = re.findall(r"[a-z]+", plain(phrase[:LONGEST_PHRASE]))
    return any(word in ELSEWHERE for word in words) and not any(word in THINGS for word in words)


def says_untouched(phrase: str) -> bool:
    """Whether a phrase says that all is well, of one part or of none: *rear blade ok*."""
    bare = f" {heading_words(phrase)} "
    fine = [term for term in sorted(UNTOUCHED, key=len, reverse=True) if f" {term} " in bare]
    for term in fine:
        bare = bare.replace(f" {term} ", " ")
    told = meanings(bare)
    silent = told is not None and not any(one.action or one.cause for one in told)
    return bool(fine) and (silent or not bare.strip())


def counts(word: str) -> str:
    """Whether rows with this status count: yes, no, or blank if it is not sure.

    *VOID - entered in error* does not, whatever is said besides.
    """
    void = any(heading_words(part) in VOID for part in _CLAUSE.split(word))
    return COUNTS.get(heading_words(word), "no" if void else "")


def _parts(phrase: str) -> list[str]:
    """The phrase cut where a new job or a reason may begin."""
    bare = _METER.sub(" ", plain(_TAG.sub("; ", html.unescape(phrase))))
    bare = re.sub(r"\bre-(?=[a-z])", "re", _SHORT_SLASHES.sub(r"\1 \2", bare))
    bare = re.sub(r"\b[dl]['\u2019]", " ", bare).replace("'", " ").replace("\u2019", " ")
    return [part for part in _CLAUSE.split(bare) if part.strip()]


_LISTS = {"thing": THINGS, "place": PLACES, "action": DONE, "cause": WHY}
_MOST_WORDS = 4


def _clause(part: str, spelled: frozenset[str]) -> Clause:
    words = _WORD.findall(part)
    found: dict[str, list[str]] = {name: [] for name in _LISTS}
    both = strange = False
    while words:
        length, kind, meant = _next(words, spelled)
        if kind in found:
            found[kind].append(meant)
        both |= kind == "both"
        strange |= kind == "strange"
        words = words[length:]
    once = {name: _once(each) for name, each in found.items()}
    return Clause(once["thing"], once["place"], once["action"], once["cause"], both, strange)


def _next(words: Sequence[str], spelled: frozenset[str]) -> tuple[int, str, str]:
    """How many words belong together, what kind they are, and what they mean."""
    for length in range(min(_MOST_WORDS, len(words)), 0, -1):
        term = " ".join(words[:length])
        for kind, known in _LISTS.items():
            if term in known:
                return length, kind, known[term]
        if term in BOTH:
            return length, "both", ""
        if term in FILLERS or term in ALSO:
            return length, "filler", ""
    return _corrected(words[0], spelled)


@lru_cache(5_000)
def _corrected(word: str, spelled: frozenset[str]) -> tuple[int, str, str]:
    """A word with one slip of the pen in it, if it can be one only of the words spelled right.

    Not a place: a side mistaken would put two lives into one.
    """
    if len(word) >= LEAST_CORRECTED and word not in ELSEWHERE:
        near = {
            (kind, known[other])
            for kind, known in _LISTS.items()
            for other in known
            if kind != "place"
            and other in spelled
            and other[0] == word[0]
            and one_slip(word, other)
        }
        if len(near) == 1:
            return 1, *near.pop()
    return 1, "strange", ""


def _told_by(clauses: Iterable[Clause], known: frozenset[str]) -> tuple[Meaning, ...] | None:
    """What the clauses say together: a job each, or one job told in several."""
    jobs = _jobs(list(clauses))
    told: list[Meaning] = []
    for job in jobs:
        if len(job.actions) > 1 or len(job.causes) > 1:
            return None
        places = _positions(job, known)
        if places is None:
            return None
        action, cause = "".join(job.actions), "".join(job.causes)
        told += [Meaning(place, action, cause) for place in places or [""]]
    doubled = len({one.position for one in told}) < len(told)
    return None if doubled or not any(map(any, told)) else tuple(told)


def _jobs(clauses: list[Clause]) -> list[Clause]:
    """Clauses put together until each holds a place and an action of its own."""
    jobs: list[Clause] = []
    thing: tuple[str, ...] = ()
    for clause in clauses:
        names = bool(clause.things or clause.places or clause.both)
        last = jobs[-1] if jobs else None
        if last is None or (names and clause.actions and _names(last) and last.actions):
            jobs.append(clause)
        else:
            jobs[-1] = _joined(last, clause)
        thing = jobs[-1].things or thing
        if not jobs[-1].things and jobs[-1].places:
            jobs[-1] = _joined(jobs[-1], Clause(thing, (), (), (), False, False))
    return jobs


def _names(clause: Clause) -> bool:
    return bool(clause.things or clause.places or clause.both)


def _joined(one: Clause, other: Clause) -> Clause:
    """Two clauses as one."""
    return Clause(
        _once(one.things + other.things),
        _once(one.places + other.places),
        _once(one.actions + other.actions),
        _once(one.causes + other.causes),
        one.both or other.both,
        one.strange or other.strange,
    )


def _once(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(words))


def _positions(job: Clause, known: frozenset[str]) -> list[str] | None:
    """The positions that a job names; none if it names none; None if it is not clear which."""
    if not job.things and not job.places and not job.both:
        return []
    if len(job.things) != 1:
        return None
    thing = job.things[0]
    of_thing = sorted(name for name in known if name.split()[-1] == thing)
    if not job.places:
        if job.both:
            return of_thing if len(of_thing) == 2 and thing not in of_thing else None
        return None if any(name != thing for name in of_thing) else [thing]
    places = sorted({_SHORT.get(place, place) for place in job.places}, key=_ORDER.index)
    if thing == "blade" and (_cornered(places) or _SHORT.keys() & {*job.places}):
        return None  # r. may be rear or right, and no blade is at the right rear
    sides = [place for place in places if place in ("left", "right")]
    ends = [place for place in places if place not in sides]
    if len(sides) == 2 or len(ends) == 2:
        rest = ends if len(sides) == 2 else sides
        each = sides if len(sides) == 2 else ends
        return None if len(rest) > 1 else [" ".join([*_around(one, rest), thing]) for one in each]
    return None if job.both or len(ends) > 1 else [" ".join([*places, thing])]


def _cornered(places: Sequence[str]) -> bool:
    """Whether several places are neither the two ends nor the two sides of a machine."""
    return len(places) > 1 and {*places} not in ({"left", "right"}, {"front", "rear"})


def _around(place: str, rest: Sequence[str]) -> list[str]:
    return sorted([place, *rest], key=_ORDER.index)


def is_own_name(text: str) -> bool:
    """Whether a position is a name of its own: nothing in it is said of parts known here.

    *Side skirts* is one; *brush*, *front* and *both blades* are known words that say too little.
    """
    words = re.findall(r"[a-z]+", plain(text))
    said = any(word in THINGS or word in BOTH for word in words)
    return not said and (not words or not all(word in PLACES for word in words))


def action_named(text: str) -> str:
    """The action that a text names and nothing else but its number: *Turn 2*; else blank."""
    told = meanings(_NUMBER.sub(" ", plain(text)))
    return told[0].action if told is not None and len(told) == 1 and not told[0].position else ""


def deed_in(text: str) -> Meaning:
    """The one action that a text names and its cause, whatever else stands in it."""
    clauses = [_clause(part, frozenset()) for part in _parts(text)]
    actions = {action for clause in clauses for action in clause.actions}
    causes = {cause for clause in clauses for cause in clause.causes}
    if len(actions) != 1 or len(causes) > 1:
        return Meaning()
    return Meaning("", actions.pop(), "".join(causes))
