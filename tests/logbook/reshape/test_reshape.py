"""Records as sites keep them, read through a mapping, against what they truly say."""

import datetime

from tests.logbook.reshape.makers import changes_of, read, readings_of
from wearcast.told import sentence


def day(text: str) -> datetime.date:
    return datetime.date.fromisoformat(text)


FITS = [
    ["machine", "date", "position", "action", "cause"],
    ["GX-1", day("2025-01-06"), "front blade", "fit", None],
    ["GX-2", day("2025-01-06"), "front blade", "fit", None],
]
TWO_FITS = [
    ("GX-1", "2025-01-06", "front blade", "fit", "worn"),
    ("GX-2", "2025-01-06", "front blade", "fit", "worn"),
]


def test_a_sheet_a_machine_feeds_readings_by_a_pattern(tmp_path):
    book = read(
        tmp_path,
        """
        readings,GX-*,[sheet],machine
        readings,GX-*,Tag,date
        readings,GX-*,Zähler,hours
        """,
        changes=FITS,
        **{
            "GX-1": [["Machine", "of hall 1"], [], ["Tag", "Zähler"], [day("2025-01-06"), 10]],
            "GX-2": [["Tag", "Zähler"], [day("2025-01-13"), 20.5]],
        },
    )
    assert readings_of(book) == [("GX-1", "2025-01-06", 10), ("GX-2", "2025-01-13", 20.5)]
    assert changes_of(book) == TWO_FITS


GRID = """
    readings,Hours,Machine,machine
    readings,Hours,[heading],date
    readings,Hours,[cell],hours
"""


def test_a_grid_of_days_gives_a_reading_a_filled_cell(tmp_path):
    days = [day("2025-01-06"), day("2025-01-13")]
    grid = [["Machine", *days, "Note"], ["GX-1", 10, 22], ["GX-2", None, 31, "new"]]
    book = read(tmp_path, GRID, changes=FITS, Hours=grid)
    assert readings_of(book) == [
        ("GX-1", "2025-01-06", 10),
        ("GX-1", "2025-01-13", 22),
        ("GX-2", "2025-01-13", 31),
    ]


def test_a_grid_of_weeks_takes_its_year_from_the_name_of_the_sheet(tmp_path):
    columns = """
        readings,Hours *,Machine,machine
        readings,Hours *,[sheet],date
        readings,Hours *,[heading],date
        readings,Hours *,[cell],hours
    """
    grid = [["Machine", "KW 2", "KW 3"], ["GX-1", 10, 22], ["GX-2", 5, None]]
    book = read(tmp_path, columns, changes=FITS, Hours_2025=grid)
    assert readings_of(book) == [
        ("GX-1", "2025-01-12", 10),
        ("GX-1", "2025-01-19", 22),
        ("GX-2", "2025-01-12", 5),
    ]


def test_a_service_log_feeds_readings_and_changes(tmp_path):
    columns = """
        readings,Log,M/c,machine
        readings,Log,When,date
        readings,Log,Clock,hours
        changes,Log,M/c,machine
        changes,Log,When,date
        changes,Log,Clock,hours
        changes,Log,Job,did
    """
    words = """
        changes,did,new front blade,,front blade,fit,
        changes,did,both brushes split,,left brush,fit,damaged
        changes,did,both brushes split,,right brush,fit,damaged
        changes,did,tank cleaned,skip
    """
    log = [
        ["When", "M/c", "Clock", "Job"],
        [day("2025-01-06"), "S1", 10, "New front blade."],
        [day("2025-01-08"), "S1", None, "tank cleaned"],
        [day("2025-01-13"), "S1", 22, None],
        [day("2025-01-20"), "S1", 35, "both  brushes split"],
    ]
    book = read(tmp_path, columns, words, Log=log)
    assert readings_of(book) == [
        ("S1", "2025-01-06", 10),
        ("S1", "2025-01-13", 22),
        ("S1", "2025-01-20", 35),
    ]
    assert changes_of(book) == [
        ("S1", "2025-01-06", "front blade", "fit", "worn"),
        ("S1", "2025-01-20", "left brush", "fit", "damaged"),
        ("S1", "2025-01-20", "right brush", "fit", "damaged"),
    ]
    counts = {tally.table: tally[2:] for tally in book.tallies if "Log" in tally.source}
    assert counts == {"readings": (4, 3, 0, 1, 0), "changes": (4, 2, 0, 1, 1)}


def test_an_undecided_phrase_is_set_aside_and_told_once_with_its_count(tmp_path):
    columns = "changes,Log,M/c,machine\nchanges,Log,When,date\nchanges,Log,Job,did"
    words = "changes,did,new front blade,,front blade,fit,\nchanges,did,fixed,,,,"
    log = [
        ["When", "M/c", "Job"],
        [day("2025-01-06"), "GX-1", "new front blade"],
        [day("2025-01-07"), "GX-1", "fixed"],
        [day("2025-01-08"), "GX-1", "Fixed"],
        [day("2025-01-09"), "GX-1", "blade no good"],
    ]
    hours = [["machine", "date", "hours"], ["GX-1", day("2025-01-06"), 1]]
    book = read(tmp_path, columns, words, readings=hours, Log=log)
    told = [sentence(one) for one in book.told if one.severity == "set aside"]
    assert told == [
        f'{tmp_path}/log.xlsx[Log], changes, rows 3-4, Job "fixed": 2 rows have this, and the table'
        " words does not say what it means. Give it a row there: position, action and cause, or"
        " skip under ours. Set aside for now.",
        f'{tmp_path}/log.xlsx[Log], changes, row 5, Job "blade no good": 1 row has this, and the'
        " table words does not say what it means. Give it a row there: position, action and cause,"
        " or skip under ours. Set aside for now.",
    ]
    assert [tally[2:] for tally in book.tallies if tally.table == "changes"] == [(4, 1, 3, 0, 0)]
