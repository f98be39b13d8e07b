"""Makers shared by the tests: text tables as a person would write them, and golden texts."""

import io
import os
import re
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # see wearcast: before numpy is imported

import hypothesis
import pandas as pd
import pytest

# How long an example takes says how busy the machine is, not whether the law holds.
hypothesis.settings.register_profile("unhurried", deadline=None)
hypothesis.settings.load_profile("unhurried")

# The schema of the order documents brings lxml along, which openpyxl would take to.
os.environ["OPENPYXL_LXML"] = "False"

GOLDEN = Path(__file__).parent / "golden"


def table(text: str, **dtypes: str) -> pd.DataFrame:
    """A frame from a text table; two or more blanks separate columns, a lone ``-`` is blank.

    A line or a lone ``|`` begins the next row.
    """
    lines = [line.strip() for line in re.split(r"\n| \| ", text) if line.strip()]
    rows = [re.split(r"\s{2,}", line) for line in lines]
    csv = "\n".join("\t".join("" if cell == "-" else cell for cell in row) for row in rows)
    frame = pd.read_csv(io.StringIO(csv), sep="\t", dtype=dtypes or None)
    for name in frame.columns.intersection(["date", "start", "end", "since", "due", "counted"]):
        frame[name] = pd.to_datetime(frame[name]).astype("datetime64[ns]")
    for name in frame.select_dtypes(include=["object", "string"]).columns:
        frame[name] = frame[name].astype(object).where(frame[name].notna(), "")
    return frame


def assert_table(frame: pd.DataFrame, expected: str, tolerance: float = 1e-6) -> None:
    """The columns named in the text table hold what it says, row by row, in its order."""
    wanted = table(expected)
    got = frame.reset_index(drop=True)[list(wanted.columns)].copy()
    for name in wanted.columns:
        if pd.api.types.is_numeric_dtype(wanted[name]):
            got[name] = got[name].astype(float)
            wanted[name] = wanted[name].astype(float)
        elif not pd.api.types.is_datetime64_any_dtype(wanted[name]):
            got[name] = got[name].astype(object).where(got[name].notna(), "")
    pd.testing.assert_frame_equal(got, wanted, check_dtype=False, atol=tolerance, rtol=tolerance)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update-golden", action="store_true", help="write the golden texts anew")


@pytest.fixture
def golden(request: pytest.FixtureRequest):
    """Compare a text with ``tests/golden/NAME``; ``--update-golden`` writes it."""

    def check(name: str, text: str) -> None:
        path = GOLDEN / name
        if request.config.getoption("--update-golden"):
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        assert path.exists(), f"{path} is missing: run pytest --update-golden and review it"
        assert text == path.read_text(encoding="utf-8")

    return check
