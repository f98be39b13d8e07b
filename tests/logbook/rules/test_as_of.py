"""The day the forecast stands on; 92 days is the contract's, dates are invented."""

from pathlib import Path

import pandas as pd

from tests.logbook.makers import changed, read_tables


def test_the_setting_gives_the_day_unless_one_is_asked_for(tmp_path: Path):
    tables = changed("settings", "currency,EUR", "as_of,2026-02-01")
    assert read_tables(tmp_path, tables).as_of == pd.Timestamp("2026-02-01")
    asked = read_tables(tmp_path, tables, as_of=pd.Timestamp("2026-02-10"))
    assert asked.as_of == pd.Timestamp("2026-02-10")
