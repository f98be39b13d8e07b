"""Every rule in its turn: what is settled first saves the later rules from judging it again."""

from collections.abc import Callable, Collection

import pandas as pd

from wearcast.errors import NothingToFit, NothingWritten, UnusableTable
from wearcast.logbook.findings.drafts import Draft, Drafts, settle
from wearcast.logbook.rules.as_of import settle_as_of
from wearcast.logbook.rules.checks import (
    backward_dates,
    contradictions,
    duplicate_rows,
    hours_off_limits,
    replaced_in_circles,
)
from wearcast.logbook.rules.each_piece import each_piece
from wearcast.logbook.rules.gaps import undated_told
from wearcast.logbook.rules.lesser import lesser_rows
from wearcast.logbook.rules.names import check_names, known_machines, one_spelling, usual_depot
from wearcast.logbook.rules.new_names import in_new_names
from wearcast.logbook.rules.notes import with_notes
from wearcast.logbook.rules.oddities import with_oddities
from wearcast.logbook.rules.positions import with_positions
from wearcast.logbook.rules.run_hours import refuse_hours_run, summed
from wearcast.logbook.rules.shares import check_shares, in_fractions
from wearcast.logbook.rules.successors import renamed_machines
from wearcast.logbook.rules.two_meters import refuse_two_meters
from wearcast.logbook.rules.whole_tables import without_copies
from wearcast.logbook.rules.year_slips import in_the_right_year
from wearcast.told import Problem, row_words


def checked(
    drafts: Drafts, refused: Collection[str], given: pd.Timestamp | None, proposal: bool
) -> tuple[Drafts, pd.Timestamp, list[Problem]]:
    """The drafts after every rule, the as-of date, and what is told of it."""
    if not proposal:
        _refuse_blank(drafts)
    drafts = one_spelling(drafts)
    drafts["floors"] = in_fractions(drafts["floors"])
    _refuse_all(drafts["readings"], refuse_two_meters, refuse_hours_run)
    drafts["readings"] = summed(drafts["readings"])
    for rule in (duplicate_rows, lesser_rows, contradictions):
        drafts = {name: settle(draft, rule(draft)) for name, draft in drafts.items()}
    drafts = without_copies(check_names(drafts, proposal), usual_depot(drafts))
    drafts["parts"] = settle(drafts["parts"], replaced_in_circles(drafts["parts"]))
    drafts = in_new_names(with_positions(drafts))
    drafts["readings"] = settle(drafts["readings"], renamed_machines(drafts))
    drafts["changes"] = settle(drafts["changes"], each_piece(drafts))
    drafts = in_the_right_year(drafts)
    drafts, day, told = settle_as_of(drafts, given)
    as_of = day if day is not None else _proposal_day(drafts)
    if not proposal:
        _refuse_nothing(drafts, given)
    for table, first, last in (("plans", "start", "end"), ("machines", "in_service", "retired")):
        drafts[table] = settle(drafts[table], backward_dates(drafts[table], first, last))
    drafts["floors"] = check_shares(drafts["floors"])
    drafts["plans"] = settle(drafts["plans"], hours_off_limits(drafts["plans"]))
    drafts["changes"] = undated_told(drafts, known_machines(drafts, proposal))
    return with_oddities(with_notes(drafts, refused), as_of), as_of, told


def _refuse_all(readings: Draft, *checks: Callable[[Draft], None]) -> None:
    """Stop with everything that these checks refuse, not with the first."""
    words = []
    for check in checks:
        try:
            check(readings)
        except UnusableTable as stop:
            words.append(str(stop))
    if words:
        raise UnusableTable("\n".join(words))


def _proposal_day(drafts: Drafts) -> pd.Timestamp:
    """A proposal's as-of: the day its first plan starts; NaT without a plan."""
    return pd.Timestamp(drafts["plans"].used["start"].min())


def _refuse_blank(drafts: Drafts) -> None:
    """Stop where no table holds a row of its own."""
    if not any(draft.open_rows.any() for draft in drafts.values()):
        raise NothingWritten(
            "nothing is written in the logbook yet; fill in its tables readings and changes,"
            " then run again."
        )


def _refuse_nothing(drafts: Drafts, as_of: pd.Timestamp | None) -> None:
    """Stop where readings or changes hold no row that could be used."""
    for name in ("readings", "changes"):
        draft = drafts[name]
        if not draft.used.empty:
            continue
        what = "has no rows" if draft.frame.empty else "has no row that can be used"
        if as_of is not None and not draft.frame.empty:
            what += f" up to {as_of:%Y-%m-%d}"
        raise NothingToFit(f"{name}: the table {what}{_why(draft)}, then run again.")


def _why(draft: Draft) -> str:
    """What the commonest finding says and cures, where no row of a table can be used."""
    cure = "; write down the machine, the date and what was read or done, a row each"
    aside = [problem for problem in draft.told if problem.severity == "set aside"]
    if not aside:
        return cure
    most = max(aside, key=lambda problem: len(problem.rows))
    value = f' "{most.value}"' if most.value else ""
    return f" ({row_words(most.rows)}, {most.column}{value}: {most.wrong})" + (
        f". {most.remedy}" if most.remedy else cure
    )
