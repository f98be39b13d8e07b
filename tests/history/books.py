"""Logbooks for the tests of this room, from text tables as a person would write them."""

import re

import pandas as pd

from tests.conftest import table
from wearcast.history.story import History, read_history
from wearcast.logbook.book import Logbook
from wearcast.logbook.schema.tables import ABOUT_OTHERS, BY_NAME, EDGES_BY_KIND
from wearcast.told import sentence

BLANKS = {"yes_no": False, "number": float("nan"), "count": float("nan"), "share": float("nan")}
DTYPES = {"yes_no": bool, "number": float, "count": float, "share": float, "date": "datetime64[ns]"}
USUAL = {"readings": {"machine": "M1"}, "changes": {"machine": "M1", "position": "front"}}
EXTRA = {"changes": {"observed": True}, "parts": {"catalogued": True}}

PARTS = """
    part  kind   edges
    B4    blade  4
    B2    blade  2
    R1    brush  1
    P2    pad    2
"""


KINDS = dict.fromkeys(("worn", "damaged", "planned", "other", "unknown"), "cause")
KINDS |= dict.fromkeys(("fit", "turn", "remove"), "action")
KINDS |= dict.fromkeys(("B4", "B2", "R1", "P2"), "part")


def deeds(*lines: str) -> pd.DataFrame:
    """Changes in few words: ``M2 rear 02-16 turn B4 worn at 1081``.

    Without more it is M1's front, of a day in 2026; ``unread`` is a line that could not be read.
    """
    return pd.DataFrame([_deed(line) for line in lines])


def _deed(line: str) -> dict[str, object]:
    rest, _, hours = line.partition(" at ")
    made: dict[str, object] = {"machine": "M1", "position": "front", "action": "", "part": ""}
    made |= {"cause": "", "hours": float(hours or "nan"), "date": pd.NaT, "observed": True}
    for word in rest.split():
        if word == "unread":
            made["observed"] = False
        elif word[0].isdigit():
            made["date"] = _day(word)
        elif word != "undated":
            made[KINDS.get(word, "machine" if word[0] == "M" else "position")] = word
    return made


def meter(*lines: str) -> pd.DataFrame:
    """Readings in few words: ``M2 01-12 1020``, with ``new`` behind them of a new meter."""
    rows = []
    for line in lines:
        machine, day, hours, new = re.fullmatch(r"(?:(M\d+) )?(\S+) (\S+)( new)?", line).groups()  # type: ignore[union-attr]
        rows.append((machine or "M1", _day(day), float(hours), "yes" if new else ""))
    return pd.DataFrame(rows, columns=["machine", "date", "hours", "new_meter"])


def _day(text: str) -> pd.Timestamp:
    return pd.Timestamp(text if len(text) > 5 else f"2026-{text}")


def clean_table(name: str, frame: pd.DataFrame | None) -> pd.DataFrame:
    """A table as the reader would hand it over: every declared column, filled and typed.

    Readings and changes that name no machine or position are those of M1, front.
    """
    frame = pd.DataFrame() if frame is None else frame.reset_index(drop=True)
    columns = {}
    for column in BY_NAME[name].columns:
        blank = pd.NaT if column.kind == "date" else BLANKS.get(column.kind, "")
        blank = USUAL.get(name, {}).get(column.name, blank)
        values = frame[column.name] if column.name in frame else [blank] * len(frame)
        if column.kind == "yes_no":
            values = [str(value).lower() in ("yes", "true") for value in values]
        columns[column.name] = pd.Series(values, dtype=DTYPES.get(column.kind, object))
    for extra, default in EXTRA.get(name, {}).items():
        values = frame[extra] if extra in frame else [default] * len(frame)
        columns[extra] = pd.Series(values, dtype=bool)
    columns["source"] = pd.Series([f"{name}.csv"] * len(frame), dtype=object)
    rows = frame["row"] if "row" in frame else range(2, len(frame) + 2)
    columns["row"] = pd.Series(list(rows), dtype=int)
    return pd.DataFrame(columns)


def logbook(
    as_of: str | None = None, proposal: bool = False, **tables: str | pd.DataFrame
) -> Logbook:
    """A logbook whose tables are text tables or frames; as-of is the newest date unless given."""
    frames = {
        name: clean_table(name, table(text) if isinstance(text, str) else text)
        for name, text in {"parts": PARTS, **tables}.items()
    }
    frames = {name: frames.get(name, clean_table(name, None)) for name in BY_NAME}
    changes, parts = frames["changes"], frames["parts"]
    frames["changes"] = changes.assign(
        cause=changes["cause"].where(changes["cause"].ne("") | ~changes["observed"], "worn")
    )
    frames["parts"] = parts.assign(
        wears_as=parts["wears_as"].where(parts["wears_as"].ne(""), parts["part"]),
        edges=parts["edges"].fillna(parts["kind"].map(EDGES_BY_KIND)),
    )
    frames["machines"] = _with_bare_machines(frames)
    newest = max((frames[n]["date"].max() for n in ("readings", "changes")), default=pd.NaT)
    return Logbook(
        **{name: frames[name] for name in BY_NAME if name not in ABOUT_OTHERS},
        price_breaks=pd.DataFrame(),
        settings={},
        as_of=pd.Timestamp(as_of) if as_of else newest,
        sources=("test",),
        proposal=proposal,
    )


def _with_bare_machines(frames: dict[str, pd.DataFrame]) -> pd.DataFrame:
    """The machines table with a bare row for each machine that only other tables name."""
    machines = frames["machines"]
    named = {
        name for table in ("readings", "changes", "positions") for name in frames[table].machine
    }
    lacking = pd.DataFrame({"machine": sorted(named - set(machines["machine"]))})
    both = [machines, clean_table("machines", lacking)]
    machines = pd.concat([frame for frame in both if len(frame)] or both[:1], ignore_index=True)
    return machines.assign(depot=machines["depot"].replace("", "main"))


def history(as_of: str | None = None, **tables: str | pd.DataFrame) -> History:
    """The history of such a logbook."""
    return read_history(logbook(as_of, **tables))


def told(past: History) -> list[str]:
    """What is told of it, as sentences."""
    return [sentence(problem) for problem in past.told]
