"""A logbook from pandas tables."""

import io

import pandas as pd
import pytest

from tests.logbook.makers import SOUND, read_tables
from wearcast.errors import UnknownChoice
from wearcast.logbook.book import Logbook

FRAMES = {name: pd.read_csv(io.StringIO(text)) for name, text in SOUND.items()}


def test_tables_of_pandas_are_read_like_the_files_of_them(tmp_path):
    from_files = read_tables(tmp_path, SOUND)
    dated = FRAMES["readings"].assign(date=pd.to_datetime(FRAMES["readings"]["date"]))
    book = Logbook.from_frames(**{**FRAMES, "readings": dated})
    for name in ("machines", "readings", "changes", "floors", "parts", "positions", "stock"):
        made, read = getattr(book, name), getattr(from_files, name)
        pd.testing.assert_frame_equal(
            made.drop(columns="source"), read.drop(columns="source"), check_dtype=True
        )
    assert book.as_of == from_files.as_of
    assert book.settings == from_files.settings


def test_findings_name_the_frame_and_the_row_as_a_spreadsheet_would():
    readings = FRAMES["readings"].astype({"hours": object})
    readings.loc[1, "hours"] = "many"
    book = Logbook.from_frames(readings=readings, changes=FRAMES["changes"])
    (told,) = [one for one in book.told if one.severity == "set aside"]
    assert (told.source, told.rows, told.value) == ("frame readings", (3,), "many")


def test_a_table_that_nobody_knows_is_refused():
    with pytest.raises(UnknownChoice, match=r"^readngs: no table of that name. Did you mean"):
        Logbook.from_frames(readngs=FRAMES["readings"])
