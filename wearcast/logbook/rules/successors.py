"""A machine that is given a new name: one meter ends where another one begins."""

import pandas as pd

from wearcast.logbook.findings.drafts import Draft, Drafts, Finding, gathered
from wearcast.logbook.rules.days import day_of_machines

LONGEST_PAUSE = pd.Timedelta(days=45)
LEAST_HOURS = 100.0
"""A meter that begins lower may be of a new machine [h]. Both are chosen here."""
HOURS_A_DAY = 24.0


def renamed_machines(drafts: Drafts) -> list[Finding]:
    """Readings of machines whose meter begins where just one other machine's meter ended."""
    if not _any_begins_late(drafts["readings"]):
        return []
    used = drafts["readings"].used.sort_values("date", kind="stable")
    spans = used.groupby("machine")[["date", "hours"]].agg(["first", "last"])
    spans.columns = ["begun", "ended", "from_hours", "to_hours"]
    machines = drafts["machines"].used
    retired = machines.loc[machines["retired"].notna(), "machine"]
    olds = spans[spans["ended"].lt(used["date"].max()) & ~spans.index.isin(retired)]
    news = spans[spans["from_hours"].ge(LEAST_HOURS) & spans["begun"].gt(olds["ended"].min())]
    findings = []
    for new in map(str, news.index):
        old = _before(news["begun"][new], float(news["from_hours"][new]), olds)
        if old:
            findings.append(_asked(used.index[used["machine"].eq(new)], new, old))
    return gathered(findings)


def _any_begins_late(readings: Draft) -> bool:
    """Whether any machine is read first after another one was read last."""
    begun, ended = (
        day_of_machines(readings, readings.used_rows, side).to_numpy() for side in ("min", "max")
    )
    if not len(ended):
        return False
    over = ended[ended < ended.max()]
    return bool(len(over) and (begun > over.min()).any())


def _before(begun: pd.Timestamp, first: float, olds: pd.DataFrame) -> str:
    """The only machine whose meter may go on so; empty if there is none or several."""
    pause = begun - olds["ended"]
    hours = first - olds["to_hours"]
    soon = pause.gt(pd.Timedelta(0)) & pause.le(LONGEST_PAUSE)
    found = olds.index[soon & hours.ge(0) & hours.le(HOURS_A_DAY * pause.dt.days)]
    return str(found[0]) if len(found) == 1 else ""


def _asked(rows: pd.Index, new: str, old: str) -> Finding:
    wrong = f"the meter of {new} begins where that of {old} ends; one may have become the other"
    cure = f"If so, write one name, or {old} and {new} in a table words (machine, in each table)"
    return Finding(rows, "machine", "note", "kept", wrong, cure)
