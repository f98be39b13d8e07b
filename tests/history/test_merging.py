"""A logbook merged with itself tells the same history."""

import pandas as pd

from tests.history.test_laws import assert_same
from wearcast.history.story import read_history
from wearcast.logbook.book import read_logbook

TABLES = {
    "readings": """machine,date,hours,new_meter
M1,2026-01-05,1000.0,
M1,2026-01-12,1020.0,
M1,2026-01-19,30.0,
M1,2026-01-26,2.0,yes
M1,2026-02-02,22.0,
""",
    "changes": """machine,date,position,action,part,cause,hours
M1,2026-01-05,front,fit,B2,,1000.0
M1,2026-01-12,front,turn,B2,worn,
M1,2026-01-26,front,turn,B2,damaged,3.0
""",
    "parts": "part,kind,edges\nB2,blade,2\n",
    "floors": "machine,floor,share\nM1,tile,0.5\nM1,vinyl,0.5\n",
}


def folder(path):
    path.mkdir()
    for name, text in TABLES.items():
        (path / f"{name}.csv").write_text(text, encoding="utf-8")
    return path


def test_a_logbook_merged_with_itself_tells_the_same(tmp_path):
    one, copy = folder(tmp_path / "one"), folder(tmp_path / "copy")
    assert_same(read_history(read_logbook(one)), read_history(read_logbook(one, copy)))


def test_the_history_is_that_of_the_files(tmp_path):
    past = read_history(read_logbook(folder(tmp_path / "one")))
    assert list(past.spells["ended"]) == ["turn", "assumed fit", "running"]
    # 20 h; two weeks at 20 h a week over the gap and 1 h on the new meter; then 22 - 3 h.
    assert list(past.spells["hours"]) == [20.0, 41.0, 19.0]
    assert past.as_of == pd.Timestamp("2026-02-02")
