"""Signs, units, other tongues and half-sure words in a cell: read and told, or set aside.

Cases are common practice, no source; wordings are ours.
"""

import datetime
from pathlib import Path

import pytest

from tests.logbook.makers import READINGS, SOUND, changed, read_tables, told_of
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.sheets.cells import cells_of, read_choices
from wearcast.logbook.sheets.dates import read_date
from wearcast.logbook.sheets.numbers import read_numbers

DAY = datetime.date(2026, 1, 19)
NAN = float("nan")
PLACES = {
    "hours": ("readings", "1204.5"),
    "price": ("parts", "92.5"),
    "on_hand": ("stock", "2"),
    "lead_days": ("parts", "21"),
}
"""Column -> its table and a second cell, from which a point is known to be the decimal mark."""


@pytest.mark.parametrize(
    "text",
    ["19. Jan 2026", "19-Jan-2026 14:00", "2026-01-19T14:00Z", "2026-01-19T14:00:00+01:00",
     "2026-01-19Z", "20260119T140000", "2026-01-19 14:00:00.000", "2026-01-19 (Mon)",
     "Montag, 19. Januar 2026", "lundi 19 janvier 2026", "lunes, 19 de enero de 2026",
     "luned\u00ec 19 gennaio 2026", "maandag 19 januari 2026", "m\u00e5ndag 19 januari 2026",
     "January 19, 2026 2:30 PM", "19JAN2026", "19 Jan '26", "2026. 01. 19.", "2026-W04-1",
     "2026W041", "2026\u5e741\u670819\u65e5", "2026 Jan 19", "19.01.2026 8 Uhr",
     "19/01/2026 at 14:00", "19/01/2026 14h30", "1/19/2026, 2:30:00\u202fPM", "19.01.2026 14.30"],
)  # fmt: skip
def test_a_date_with_one_reading_is_that_date_in_any_tongue(text: str):
    assert read_date(text).sole == DAY


@pytest.mark.parametrize(
    "text",
    ["2026-01-19 to 2026-01-25", "2026-01-19 - 2026-01-25", "2026-01-19 ?", "2026-01-19 or 20",
     "2026-01-19 20", "2026-01-19/20", "19./20.01.2026", "ca. 2026-01-19", "2026-W60-1",
     "19012026", "3 listopada 2026", "end of January", "yesterday", "2026-01-\uff11\uff19"],
)  # fmt: skip
def test_what_may_be_another_day_is_no_date(text: str):
    assert read_date(text).wrong


@pytest.mark.parametrize(
    ("month", "text"), [(3, "19. marts 2026"), (12, "19. desember 2026"), (12, "19 des 2026")]
)
def test_months_of_the_north_are_known(month: int, text: str):
    assert read_date(text).day == datetime.date(2026, month, 19)


# column, text, value (nan: set aside)
@pytest.mark.parametrize(
    ("column", "text", "value"),
    [
        *(("hours", text, 1251.5) for text in ("1251h30", "1251 h 30", "1251:30:00")),
        *(("hours", text, 1251) for text in ("1251,", "1251.00 [h]", "1251 horas", "1.251,0 h")),
        *(("hours", text, 1251) for text in ("1251 ore", "1251.0 uren", "1251h.", "1251 Std.")),
        *(("hours", text, NAN) for text in ("\u22481251", "~1251", ">1251", "1251?", "75060 min")),
        *(("hours", text, NAN) for text in ("1250-1252", "1251\u00bd", "1,251,0", "52 d 3 h")),
        *(("price", text, 12) for text in ("12,-", "12,- \u20ac", "Fr. 12", "12 z\u0142", "12/pc")),
        *(("price", text, 12.5) for text in ("12,50 Euro", "12,50 / Stk", "kr 12,50")),
        *(("price", text, NAN) for text in ("12 per 2", "2 for 24", "12-13", "12 net", "gratis")),
        *(("on_hand", text, 4) for text in ("4 Stk.", "4 St\u00fcck", "4 pz", "4 stuks")),
        *(("on_hand", text, NAN) for text in ("4 boxes", "2 packs", "4+1", "4?", "0-5", "x4")),
        *(("lead_days", text, 14) for text in ("14 Tage", "14 jours", "14 d", "14 dagen")),
        *(("lead_days", text, NAN) for text in ("2 weeks", "14 working days", "14-21", "48 h")),
    ],
)  # fmt: skip
def test_a_number_is_read_with_its_own_unit_and_left_alone_with_any_doubt(
    column: str, text: str, value: float
):
    table, other = PLACES[column]
    read, faults = read_numbers(cells_of([text, other]), BY_NAME[table].column(column))
    assert read[0] == value or (read[0] != read[0] and value != value)
    severity = "set aside" if value != value else "repaired"
    assert [(fault.severity, fault.places.tolist()) for fault in faults] == [(severity, [0])]


def test_points_that_may_part_thousands_are_set_aside_and_never_read_as_decimals(tmp_path: Path):
    machines = "machine,site,m2_per_hour\nM-014,North Hall,1.800\nM-015,North Hall,1.800\n"
    machines += "M-022,South Hall,2.400\n"
    assert told_of(read_tables(tmp_path, {**SOUND, "machines": machines})) == [
        'machines.csv, rows 2-4, m2_per_hour "1.800, 2.400": the mark can stand for thousands or'
        " for decimals, and the column does not settle it; the cell counts as blank. Write the"
        " number without a thousands mark and with a decimal point. Set aside for now."
    ]


@pytest.mark.parametrize(
    ("word", "action"),
    [
        *(("turned blade", "turn"), ("blade flipped", "turn"), ("2nd edge", "turn")),
        *(("swapped edge", "turn"), ("blade changed", "fit"), ("new blade fitted", "fit")),
        *(("Fit!", "fit"), ("taken out", "remove"), ("removed blade", "remove")),
        *(
            ("turned", "turn"),
            ("Turned the blade.", "turn"),
            ("replaced", "fit"),
            ("rotated", "turn"),
        ),
        *(("(fit)", "fit"), ("the blade", ""), ("changed edge", ""), ("fit/turn", "")),
        *(("turn?", ""), ("cleaned", "")),
    ],
)
def test_what_was_done_is_read_without_the_thing_it_was_done_to(word: str, action: str):
    read, faults = read_choices(cells_of([word]), BY_NAME["changes"].column("action"))
    assert read.tolist() == [action]
    assert [fault.severity for fault in faults] == ["repaired" if action else "set aside"]
    assert [fault.wrong for fault in faults] == [
        f"read as {action}" if action else "no known action"
    ]


def test_a_word_for_two_actions_is_set_aside_with_both(tmp_path: Path):
    tables = changed("changes", "02-02,front blade,turn", "02-02,front blade,swapped")
    assert told_of(read_tables(tmp_path, tables)) == [
        'changes.csv, row 6, action "swapped": can mean fit (a new part) or turn (its next edge).'
        " Write one of fit, turn, remove. Set aside for now."
    ]


def test_a_shortened_number_names_nothing_wherever_it_stands(tmp_path: Path):
    tables = {name: text.replace("GB-1", "4.00638E+12") for name, text in SOUND.items()}
    told = told_of(read_tables(tmp_path, tables))
    assert {one.split(".csv")[0] for one in told} == {
        "on_order", "stock", "changes", "parts", "positions",
    }  # fmt: skip
    assert all("the first digits of this number only" in one for one in told)


@pytest.mark.parametrize(
    ("table", "heading", "written"),
    [
        ("floors", "share", "share %"),
        ("parts", "price", "Price EUR"),
        ("parts", "price", "price \u20ac"),
    ],
)
def test_a_sign_behind_a_heading_is_no_part_of_it(
    table: str, heading: str, written: str, tmp_path: Path
):
    tables = changed(table, f",{heading},", f",{written},")
    assert told_of(read_tables(tmp_path, tables)) == []


def test_a_digit_of_a_parted_number_is_no_yes(tmp_path: Path):
    # 1204,5 and 1251,1 without quotation marks; 310,0 loses nothing.
    readings = READINGS.replace("1204.5,", "1204,5").replace("1251.0,", "1251,1")
    book = read_tables(tmp_path, {**SOUND, "readings": readings.replace("310.0,", "310,0")})
    assert [line for line in told_of(book) if line.startswith("readings")] == [
        "readings.csv, rows 2-3: a digit where yes or no belongs: a decimal comma seems to have"
        " parted the number before it. Write the number with a decimal point, or put quotation"
        " marks around it. Set aside for now."
    ]
    assert not book.readings["new_meter"].any()
    assert len(book.readings) == 7
