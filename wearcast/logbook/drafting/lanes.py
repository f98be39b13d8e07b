"""What single columns of a sheet of unknown shape can be: places, marks, answers, units, plans."""

from collections.abc import Sequence

import numpy as np

from wearcast.logbook.drafting.outline import Lane, Outline, numbers_in, numbers_of
from wearcast.logbook.drafting.phrases import action_named, heading_words, meanings
from wearcast.logbook.schema.trade_words import AHEAD, HEADINGS, PLACES
from wearcast.logbook.schema.vocabulary import ALSO_NO, ALSO_YES, NO, UNIT_WORDS, YES
from wearcast.logbook.sources.cell_texts import text_of

MOSTLY_FILLED = 0.6
"""Share of the rows from which on numbers are a state: work is not done at every reading."""
LONGEST_MARK = 3
"""Letters of a mark for what was done."""
FEWEST_ROWS = 10
_ANSWERS = YES | NO | ALSO_YES | ALSO_NO


def marks(found: Outline) -> list[Lane]:
    """Lanes that each stand for a position, with what was done in their cells."""
    lanes = [lane for lane in found.lanes if is_place(lane) and not is_state(lane)]
    if len(lanes) > 1:  # then Front, beside Left brush and marked alike, is a place as well
        lanes = [lane for lane in found.lanes if lane in lanes or _marked_alike(lane, lanes)]
    return lanes if len(lanes) > 1 and any(lane.filled for lane in lanes) else []


def _marked_alike(lane: Lane, others: Sequence[Lane]) -> bool:
    """Whether a lane under the name of a place alone holds the marks that the others hold."""
    words = {text_of(cell) for other in others for cell in other.filled}
    alone = heading_words(lane.heading) in PLACES and lane.kind == "text"
    marked = {text_of(cell) for cell in lane.filled} - words
    return alone and all(len(mark) <= LONGEST_MARK for mark in marked)


def answered(found: Outline) -> list[Lane]:
    """Lanes that each ask whether one thing was done, with yes or no in their cells."""
    lanes = [lane for lane in found.lanes if lane.filled and _deed(lane)]
    return lanes if len(lanes) > 1 else []


def _deed(lane: Lane) -> bool:
    told = meanings(lane.heading)
    whole = told is not None and len(told) == 1 and bool(told[0].position and told[0].action)
    return whole and {text_of(cell).strip().casefold() for cell in lane.filled} <= _ANSWERS


def deed_days(found: Outline) -> list[Lane]:
    """Lanes of days that are each headed by a deed, *Turn 2*; none unless there are several."""
    days = [lane for lane in found.lanes if lane.kind == "date" and not of_plans(lane)]
    lanes = [lane for lane in days if action_named(lane.heading)]
    return lanes if len(lanes) > 1 else []


def work_across(found: Outline) -> list[Lane]:
    """Lanes of work that may each stand for a machine; none unless there are several."""
    lanes = [lane for lane in found.lanes if lane.kind == "text" and not is_headed(lane)]
    told = [lane for lane in lanes if not is_place(lane) and _tells(lane)]
    return told if len(told) > 1 else []


def _tells(lane: Lane) -> bool:
    """Whether most cells of a lane say what was done and where."""
    said = [meanings(text_of(cell)) or () for cell in lane.filled]
    deeds = sum(bool(one) and all(each.position and each.action for each in one) for one in said)
    return deeds * 2 > len(said)


def of_places(lane: Lane) -> bool:
    """Whether nothing but places stands in a lane: *Front*, *L*."""
    return all(heading_words(text_of(cell)) in PLACES for cell in lane.filled)


def of_plans(lane: Lane) -> bool:
    """Whether a heading speaks of what is to be done: its days are none of work."""
    return lane.kind == "date" and bool(AHEAD & {*heading_words(lane.heading).split()})


def is_unit(lane: Lane) -> bool:
    """Whether a lane says in which unit its neighbour is."""
    return {text_of(cell).casefold() for cell in lane.filled} <= UNIT_WORDS


def is_state(lane: Lane) -> bool:
    """Whether numbers are no marks or pieces: read off, or the edge in use week by week."""
    if lane.kind != "number":
        return False
    filled = np.count_nonzero(numbers_of(lane.cells) > 0) > MOSTLY_FILLED * len(lane.cells)
    return not _few(lane) or (len(lane.cells) > FEWEST_ROWS and bool(filled))


def _few(lane: Lane) -> bool:
    """Whether a lane of numbers holds marks or pieces, and nothing that was read off."""
    return set(numbers_in(lane.filled)) <= {0.0, 1.0, 2.0, 3.0, 4.0}


def is_place(lane: Lane) -> bool:
    """Whether a heading names one position."""
    told = meanings(lane.heading)
    return told is not None and len(told) == 1 and bool(told[0].position) and not any(told[0][1:])


def is_headed(lane: Lane) -> bool:
    """Whether a heading means a column of ours."""
    return any(heading_words(lane.heading) in words for words in HEADINGS.values())
