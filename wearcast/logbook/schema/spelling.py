"""How names are compared: what counts as the same spelling, and what is merely near.

Two spellings are the same name if they differ only in case, in blanks around or inside, or in
``_``, ``-`` and blanks between letters. A separator between two digits tells names apart
(``7-1`` is not ``71``). Look-alikes are never merged; they are only offered as a hint.
"""

import difflib
import itertools
import re
import unicodedata
from collections.abc import Iterable, Sequence
from functools import lru_cache

_HIDDEN = re.compile(
    r"[\x00-\x08\x0e-\x1f\x7f-\x9f\u00ad\u200b-\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]"
)
_BLANKS = re.compile(r"\s+")
_SEPARATORS = re.compile(r"[\s_\-\u2010-\u2015\u2212]+")
_OUTSIDE_DIGITS = re.compile(r"(?<!\d)-|-(?!\d)")
_WHOLE = re.compile(r"-?[0-9]{1,15}\.0+")
_IN_BRACKETS = re.compile(r"(?:\s*[(\[][^)\]]*[)\]])+\s*$")
_AROUND_HEADINGS = re.compile(
    r"[\s_\-.:*?#'\"`\u00b4\u2018\u2019\u201c\u201d\[\]()\u00b9\u00b2\u00b3\u2020\u2021]+"
)
"""Blanks, quotation marks, brackets and the marks of footnotes."""
_UNIT_BEHIND = re.compile(
    r"(?:,|/|\bin\b)\s*(?:h|hrs?|hours|cm|m2/h|days?|min|eur|usd|gbp|pcs|pieces)\.?$"
    r"|(?<=\w)(?:\s*[%\u20ac$\u00a3]|\s(?:eur|usd|gbp|chf))$"
)
LONGEST_HEADING = 200
"""Letters; a longer heading is none of ours, and its unit is not looked for."""
MOST_REMEMBERED = 30_000
"""Spellings whose key is kept: each is asked for by several rules, and tables repeat them."""
NEAR = 0.8
"""How like two names must be, from 0 to 1, to look like slips of one (vinyl, vinly: 0.8)."""
LEAST_WORD = 4
"""Letters of a word that a slip is looked for in: East and West, A and B are no slips."""
MOST_HINTED = 2000
"""Longer lists of known names get no hints: comparing them all would take too long."""


def without_hidden(text: str) -> str:
    """The text without characters that nobody sees: zero-width blanks, soft hyphens, controls."""
    return _HIDDEN.sub("", text)


def tidy(text: str) -> str:
    """The name without blanks around it, with single blanks inside; ``7.0`` is ``7``."""
    if text.isascii() and text.isalnum():
        return text
    if not text.isascii():
        text = unicodedata.normalize("NFC", text)  # one letter for a letter and its accent
    plain = _BLANKS.sub(" ", without_hidden(text)).strip()
    return plain.split(".")[0] if _WHOLE.fullmatch(plain) else plain


@lru_cache(MOST_REMEMBERED)
def fold(name: str) -> str:
    """What two spellings of one name have in common."""
    bare = tidy(name).lstrip("'\u2019")  # spreadsheet programs mark a text so
    joined = _SEPARATORS.sub("-", bare.casefold())
    return _OUTSIDE_DIGITS.sub("", joined)


@lru_cache(MOST_REMEMBERED)
def heading_key(heading: str) -> str:
    """What two spellings of one heading have in common: a unit behind it does not count."""
    if len(heading) > LONGEST_HEADING:
        return heading.casefold()
    plain = tidy(heading)
    bare = _UNIT_BEHIND.sub("", (_IN_BRACKETS.sub("", plain) or plain).casefold())
    return _AROUND_HEADINGS.sub("", bare)


@lru_cache(MOST_REMEMBERED)
def phrase_key(phrase: str) -> str:
    """What two spellings of one phrase have in common: case, blanks and marks at its ends go."""
    return tidy(phrase).casefold().strip(" .,;:!") or tidy(phrase)


def nearest(name: str, known: Iterable[str], most: int = 1, cutoff: float = 0.6) -> list[str]:
    """The known names most like this one, best first; never more than `most`."""
    names = sorted(set(known))
    if len(names) > MOST_HINTED or len(name) > 200:
        return []
    by_key: dict[str, str] = {}
    for other in names:
        by_key.setdefault(fold(other), other)
    padded = [other for key, other in by_key.items() if _unpadded(key) == _unpadded(fold(name))]
    found = difflib.get_close_matches(fold(name), list(by_key), n=most, cutoff=cutoff)
    return list(dict.fromkeys([*padded, *(by_key[key] for key in found)]))[:most]


def _unpadded(key: str) -> str:
    """A key without the zeros in front of its numbers: m-7 for m-007."""
    return re.sub(r"(?<![0-9])0+(?=[0-9])", "", key)


def did_you_mean(name: str, known: Iterable[str], cure: str) -> str:
    """The cure, with the nearest known name asked for before it: ``Did you mean M-014? ...``."""
    found = nearest(name, known)
    return f"Did you mean {found[0]}? {cure}" if found else cure


def listed(names: Sequence[str], most: int = 8) -> str:
    """Names with commas between; a long list ends in ``and n more``."""
    shown = ", ".join(names[:most])
    return shown if len(names) <= most else f"{shown} and {len(names) - most} more"


def look_alike(one: str, other: str) -> bool:
    """Whether two different names look like slips of one: near, and not told apart by a digit."""
    letters = [re.sub(r"\d", "", fold(name)) for name in (one, other)]
    if letters[0] == letters[1]:
        return False
    return difflib.SequenceMatcher(None, fold(one), fold(other)).ratio() >= NEAR


@lru_cache(MOST_REMEMBERED)
def _words_of(name: str) -> tuple[str, ...]:
    """The words of a name, in small letters."""
    return tuple(_SEPARATORS.sub(" ", tidy(name).casefold()).split())


def one_slip(one: str, other: str) -> bool:
    """Whether two names differ by one slip of the pen in one word of four letters or more.

    A letter left out, put in, mistaken, or two changed about; a digit tells names apart.
    """
    words = [_words_of(name) for name in (one, other)]
    if len(words[0]) != len(words[1]):
        return False
    unlike = [sorted(pair, key=len) for pair in zip(*words, strict=True) if pair[0] != pair[1]]
    if len(unlike) != 1:
        return False
    short, long = unlike[0]
    if len(short) < LEAST_WORD or any(letter.isdigit() for letter in short + long):
        return False
    same = itertools.takewhile(lambda pair: pair[0] == pair[1], zip(short, long, strict=False))
    at = sum(1 for _ in same)
    left, right = short[at:], long[at:]
    slips = (left, right[1:]) if len(short) < len(long) else (left[1:], right[1:])
    return bool(slips[0] == slips[1] or left[1::-1] + left[2:] == right)
