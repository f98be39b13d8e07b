"""What the person's words make of rows: which count, what was done, and one word for another.

A word that is not decided sets its rows aside and is told once, with its count.
"""

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace

from wearcast.logbook.reshape.mapping import DID, ONLY, SKIP, Word, Words
from wearcast.logbook.reshape.unfolded import Cells, Unfolded, blank
from wearcast.logbook.schema.spelling import fold, phrase_key
from wearcast.logbook.sources.cell_texts import says_missing, text_of

BLANK = "[blank]"
"""The word under which ``only`` decides on a blank cell."""
Undecided = dict[tuple[str, str], list[int]]
"""Column and word, as written, that nobody decided -> numbers of the rows that hold it."""


def only_counting(laid: Unfolded, words: Words) -> tuple[Unfolded, Undecided]:
    """The rows that count, by the column ``only``."""
    if ONLY not in laid.columns:
        return laid, {}
    said = [BLANK if blank(cell) else text_of(cell).strip() for cell in laid.columns[ONLY]]
    meant = [words.get(phrase_key(text), (Word(),))[0] for text in said]
    kept = [place for place, word in enumerate(meant) if phrase_key(word.ours) not in (SKIP, "no")]
    open_places = [place for place, word in enumerate(meant) if not word.decided]
    undecided = _by_word(ONLY, [(said[place], laid.rows[place]) for place in open_places])
    marked = replace(laid, aside=laid.aside | frozenset(open_places))
    return _without(marked, kept, ONLY), undecided


def _without(laid: Unfolded, kept: list[int], column: str) -> Unfolded:
    """The kept rows, the others counted as skipped, without a column that has served."""
    here = {laid.rows[place] for place in kept}
    gone = laid.skipped | (frozenset(laid.rows) - here)
    left = laid.kept(kept, skipped=gone) if len(kept) < len(laid.rows) else laid
    return replace(left, columns={k: v for k, v in left.columns.items() if k != column})


def deeds(laid: Unfolded, words: Words) -> tuple[Unfolded, Undecided]:
    """A row for everything that the phrase under ``did`` says was done."""
    if DID not in laid.columns:
        return laid, {}
    phrases = ["" if blank(cell) else text_of(cell).strip() for cell in laid.columns[DID]]
    places: list[int] = []
    meant: list[Word] = []
    unknown: list[tuple[str, int]] = []
    for place, phrase in enumerate(phrases):
        several = words.get(phrase_key(phrase), (Word(),)) if phrase else (Word(),)
        done = [word for word in several if not word.skips]
        places += [place] * len(done)
        meant += done
        if phrase and not several[0].decided:
            unknown.append((phrase, laid.rows[place]))
    spread = _spread(laid, places)
    open_places = {
        new
        for new, (place, word) in enumerate(zip(places, meant, strict=True))
        if phrases[place] and not word.decided and place not in laid.aside
    }
    columns = dict(spread.columns)
    if "pieces" in columns:
        fits = [
            place if fold(word.action) == "fit" else -1
            for place, word in zip(places, meant, strict=True)
        ]
        columns["pieces"] = _shared(columns["pieces"], fits)
    for name in ("position", "action", "cause"):
        columns[name] = _said(columns.get(name), [getattr(word, name) for word in meant])
    marked = replace(spread, columns=columns, aside=spread.aside | open_places)
    return _without(marked, list(range(len(places))), DID), _by_word(DID, unknown)


def _by_word(column: str, found: Iterable[tuple[str, int]]) -> Undecided:
    """Rows by the word that they hold, as it was first written."""
    first: dict[str, str] = {}
    undecided: Undecided = {}
    for word, row in found:
        shown = first.setdefault(phrase_key(word), word)
        undecided.setdefault((column, shown), []).append(row)
    return undecided


def _spread(laid: Unfolded, places: list[int]) -> Unfolded:
    """The rows at these places, some of them several times."""
    columns = {name: [cells[place] for place in places] for name, cells in laid.columns.items()}
    rows = [laid.rows[place] for place in places]
    aside = frozenset(new for new, place in enumerate(places) if place in laid.aside)
    gone = laid.skipped | (frozenset(laid.rows) - frozenset(rows))
    surplus = {
        new: laid.surplus[place] for new, place in enumerate(places) if place in laid.surplus
    }
    return replace(laid, columns=columns, rows=rows, aside=aside, skipped=gone, surplus=surplus)


def _shared(pieces: Cells, fits: list[int]) -> Cells:
    """The pieces of a row shared among its fits; nothing where they cannot be shared evenly.

    `fits` says of which row each is a fit; -1: of none.
    """
    counts = Counter(place for place in fits if place >= 0)
    shared: Cells = []
    for cell, place in zip(pieces, fits, strict=True):
        text, many = text_of(cell).strip(), counts.get(place, 0)
        if many < 2 or not text.isascii() or not text.isdecimal():
            shared.append(cell)
        else:
            shared.append(int(text) // many if int(text) % many == 0 else None)
    return shared


def _said(own: Cells | None, words: list[str]) -> Cells:
    """What the words say, else what the row itself has."""
    if own is None:
        return [word or None for word in words]
    return [word or cell for word, cell in zip(words, own, strict=True)]


def in_our_words(
    laid: Unfolded, words: dict[str, Words], name_of: Callable[[str], str]
) -> Unfolded:
    """The rows with words of theirs replaced by ours, and without those that words skip.

    `name_of` tells which column of ours a heading means.
    """
    for heading in list(laid.columns):
        own = words.get(name_of(heading), {})
        if not own:
            continue
        meant = [word_of(cell, own) for cell in laid.columns[heading]]
        cells = [
            word.ours if word and word.ours else cell
            for word, cell in zip(meant, laid.columns[heading], strict=True)
        ]
        laid = replace(laid, columns=laid.columns | {heading: cells})
        kept = [place for place, word in enumerate(meant) if word is None or not word.skips]
        laid = _without(laid, kept, "")
    return laid


def word_of(cell: object, words: Words) -> Word | None:
    """What the words say of a cell, ``[blank]`` of one without; None where they do not name it."""
    found = words.get(phrase_key(BLANK if blank(cell) else text_of(cell)))
    return found[0] if found else None


def saying_something(laid: Unfolded, needed: Iterable[str]) -> Unfolded:
    """The rows with a cell in any of these columns; the others are no rows of this table."""
    columns = [laid.columns[name] for name in needed if name in laid.columns]
    if not columns:
        return laid
    kept = [
        place
        for place in range(len(laid.rows))
        if place in laid.aside
        or any(not blank(cells[place]) and not says_missing(cells[place]) for cells in columns)
    ]
    here = {laid.rows[place] for place in kept}
    return laid.kept(kept, bare=laid.bare | (frozenset(laid.rows) - here - laid.skipped))
