"""A year of quarters from the clerk's side: the workbook edited, approved, received, compared.

The sample's own log says what is used; a plain shelf takes it. Lines are marked as ordered and
sorted in LibreOffice, one is set to 0, some deliveries come a month late, some shelves are not
counted.
"""

import io
import shutil
from pathlib import Path

import numpy as np
import openpyxl
import pandas as pd
import pytest

import wearcast
from tests.reports.workbook.office import edited, needs_office
from wearcast.cli.main import run
from wearcast.history.story import read_history

pytestmark = [needs_office, pytest.mark.study]
SAMPLE = Path(__file__).parents[3] / "sample_logs"
QUARTERS = [pd.Timestamp(day) for day in ("2026-01-31", "2026-04-30", "2026-07-31", "2026-10-31")]
KEY = ["depot", "part"]


def letter(heads: list[object], name: str) -> str:
    return openpyxl.utils.get_column_letter(heads.index(name) + 1)


def clerk(content: bytes, place: Path, day: pd.Timestamp) -> bytes:
    """All lines marked as ordered on a day but one, which is set to 0; sorted by part."""
    sheet = openpyxl.load_workbook(io.BytesIO(content))["Order"]
    heads = [cell.value for cell in sheet[4]]
    part = heads.index("Part") + 1
    rows = [row for row in range(5, sheet.max_row + 1) if sheet.cell(row, part).value]
    number = (day - pd.Timestamp("1899-12-30")).days
    steps = [f'Type_("Order", "{letter(heads, "ordered")}{row}", {number})' for row in rows[1:]]
    steps.append(f'Type_("Order", "{letter(heads, "Packs")}{rows[0]}", 0)')
    area = f"A{rows[0]}:{openpyxl.utils.get_column_letter(len(heads))}{rows[-1]}"
    return edited(content, place, *steps, f'SortBy("Order", "{area}", {part - 1}, False)')


def on_order(content: bytes) -> pd.DataFrame:
    """What the sheet on_order holds for the logbook."""
    sheet = openpyxl.load_workbook(io.BytesIO(content), data_only=True)["on_order"]
    rows = [[cell.value for cell in row[:4]] for row in sheet.iter_rows(min_row=2)]
    found = pd.DataFrame(rows, columns=["part", "pieces", "due", "depot"])
    return found[found["part"].fillna("").ne("")]


def test_a_year_of_quarters(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    rng = np.random.default_rng(1)
    uses = read_history(wearcast.read_logbook(SAMPLE)).uses
    shelf = pd.read_csv(SAMPLE / "stock.csv").set_index(KEY)["on_hand"].astype(float)
    orders = pd.DataFrame(columns=["part", "pieces", "due", "depot", "arrives"])
    short, asked, before = 0.0, 0.0, None
    for number, as_of in enumerate(QUARTERS):
        if before is not None:
            since = (before, as_of)
            used = uses[uses["date"].gt(since[0]) & uses["date"].le(since[1])]
            came = orders[orders["arrives"].gt(since[0]) & orders["arrives"].le(since[1])]
            left = shelf.add(came.groupby(KEY)["pieces"].sum(), fill_value=0.0)
            left = left.sub(used.groupby(KEY)["pieces"].sum(), fill_value=0.0)
            short, asked = short + float(-left.clip(upper=0).sum()), asked + used["pieces"].sum()
            shelf = left.clip(lower=0)
        log, out = tmp_path / f"log{number}", tmp_path / f"out{number}"
        shutil.copytree(SAMPLE, log, ignore=lambda *_: ["messy", "workbook", "proposal"])
        counted = shelf[rng.random(len(shelf)) > (0.1 if number else 0)].rename("on_hand")
        counted.reset_index().assign(counted=as_of.date()).to_csv(log / "stock.csv", index=False)
        received = orders["arrives"].where(orders["arrives"].le(as_of))
        written = orders.assign(received=pd.to_datetime(received)).drop(columns="arrives")
        written.to_csv(log / "on_order.csv", index=False, date_format="%Y-%m-%d")
        earlier = ["--compare", str(tmp_path / f"out{number - 1}")] if number else []
        command = ["order", str(log), "--as-of", str(as_of.date()), "-o", str(out), "-q"]
        assert run([*command, "--draws", "300", *earlier]) == 0
        said = capsys.readouterr().out
        if number:
            pieces = orders[orders["due"].ge(before)]
            assert f"{pieces['pieces'].sum():.0f} ordered by the edited workbook" in said
            assert "Used since, against what was forecast then" in said
        book = clerk((out / "order.xlsx").read_bytes(), tmp_path, as_of + pd.Timedelta(days=2))
        (out / "order.xlsx").write_bytes(book)
        approved = tmp_path / f"approved{number}"
        assert run(["order", "--from-workbook", str(out / "order.xlsx"), "-o", str(approved)]) == 0
        capsys.readouterr()
        new = on_order(book)
        lines = pd.read_csv(approved / "approved.csv")
        sums = [one.groupby(KEY)["pieces"].sum().astype(float) for one in (new, lines)]
        assert sums[0].equals(sums[1])
        late = np.where(rng.random(len(new)) < 0.2, 30, 0)
        due = pd.to_datetime(new["due"])
        new = new.assign(due=due, arrives=due + pd.to_timedelta(late, "D"))
        orders = pd.concat([orders, new], ignore_index=True) if len(orders) else new
        before = as_of
    assert short < 0.05 * asked
