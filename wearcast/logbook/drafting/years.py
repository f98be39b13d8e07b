"""Dates that are not whole: weeks and months without their year, days without their month."""

import re
from collections.abc import Iterable, Iterator
from pathlib import PurePath

from wearcast.logbook.drafting.outline import Lane, Outline, is_period, numbers_in
from wearcast.logbook.drafting.phrases import heading_words, plain
from wearcast.logbook.schema.trade_words import NUMBERED, YEARS
from wearcast.logbook.sources.cell_texts import text_of

_YEAR = re.compile(r"(?<![0-9])(?:19|20)[0-9]{2}(?![0-9])")
_SHORT_YEAR = re.compile(r"[0-9a-z][ /.'-]+'?[0-9]{2}$")
_LOOKED_AT = 50
"""Cells of a column, from its top."""


def numbered_dates(found: Outline, taken: Iterable[Lane]) -> Lane | None:
    """A column of bare numbers that are weeks of a year, or days of the month the sheet is of."""
    others = list(taken)
    for lane in found.lanes:
        most = int(NUMBERED.get(heading_words(lane.heading), "0"))
        if lane.kind != "number" or lane in others or not most:
            continue
        if most == 31 and not is_period(found.sheet.name):
            continue
        values = numbers_in(lane.filled)
        if len(values) and all((values >= 1) & (values <= most) & (values % 1 == 0)):
            return lane
    return None


def are_days_of_month(lane: Lane) -> bool:
    """Whether a lane holds bare numbers of days, and none of weeks or whole days."""
    weeks = NUMBERED.get(heading_words(lane.heading)) == "53"
    return lane.kind == "number" and not weeks and bool((numbers_in(lane.filled) <= 31).all())


def beside_dates(found: Outline, dates: Iterable[object], whole: bool) -> Iterator[str]:
    """What has to stand beside the dates of a sheet: a column, ``[sheet]`` or ``[file]``.

    Parameters
    ----------
    dates : iterable of object
        Headings or cells that name days, weeks or months.
    whole : bool
        False where they are days without a month.
    """
    texts = [plain(text_of(each)).strip() for each in list(dates)[:_LOOKED_AT]]
    if texts and whole and all(map(_has_year, texts)):
        return
    name = plain(found.sheet.name)
    if not whole and is_period(found.sheet.name):
        yield "[sheet]"
        if _has_year(name):
            return
    for lane in found.lanes:
        if heading_words(lane.heading) in YEARS:
            yield lane.heading
            return
    if len(set(_YEAR.findall(name))) == 1:
        yield "[sheet]"
    elif len(set(_YEAR.findall(plain(PurePath(found.sheet.source).stem)))) == 1:
        yield "[file]"


def _has_year(text: str) -> bool:
    return bool(_YEAR.search(text) or _SHORT_YEAR.search(text)) or text.isdigit()
