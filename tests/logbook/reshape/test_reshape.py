"""Records as sites keep them, read through a mapping, against what they truly say."""

import datetime
from io import BytesIO

import pytest
from openpyxl import load_workbook

from tests.logbook.reshape.makers import changes_of, lines_of, mapping, read, readings_of, records
from wearcast.errors import UnusableTable
from wearcast.logbook.book import read_logbook
from wearcast.reports.marked import marked_copy
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
        lines_of("readings", "GX-*", "[sheet] machine | Tag date | Zähler hours"),
        changes=FITS,
        **{
            "GX-1": [["Machine", "of hall 1"], [], ["Tag", "Zähler"], [day("2025-01-06"), 10]],
            "GX-2": [["Tag", "Zähler"], [day("2025-01-13"), 20.5]],
        },
    )
    assert readings_of(book) == [("GX-1", "2025-01-06", 10), ("GX-2", "2025-01-13", 20.5)]
    assert changes_of(book) == TWO_FITS


def test_a_grid_of_weeks_takes_its_year_from_the_name_of_the_sheet(tmp_path):
    columns = lines_of(
        "readings", "Hours *", "Machine machine | [sheet] date | [heading] date | [cell] hours"
    )
    grid = [["Machine", "KW 2", "KW 3"], ["GX-1", 10, 22], ["GX-2", 5, None]]
    book = read(tmp_path, columns, changes=FITS, Hours_2025=grid)
    assert readings_of(book) == [
        ("GX-1", "2025-01-12", 10),
        ("GX-1", "2025-01-19", 22),
        ("GX-2", "2025-01-12", 5),
    ]


def test_an_undecided_phrase_is_set_aside_and_told_once_with_its_count(tmp_path):
    columns = lines_of("changes", "Log", "M/c machine | When date | Job did")
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
        " words does not say what it means. Give it a row there (changes, did): position, action"
        " and cause, or skip under ours. Set aside for now.",
        f'{tmp_path}/log.xlsx[Log], changes, row 5, Job "blade no good": 1 row has this, and the'
        " table words does not say what it means. Give it a row there (changes, did): position,"
        " action and cause, or skip under ours. Set aside for now.",
    ]
    assert [tally[2:] for tally in book.tallies if tally.table == "changes"] == [(4, 1, 3, 0, 0)]


def orders(*states):
    rows = [["GX-1", day("2025-01-06"), "front blade", "fit", state] for state in states]
    return [["machine", "date", "position", "action", "Status"], *rows]


HOURS = [["machine", "date", "hours"], ["GX-1", day("2025-01-06"), 1]]


def test_work_that_was_cancelled_or_planned_waits_until_words_say_that_it_counts(tmp_path):
    sheets = {"readings": HOURS, "changes": orders("done", "cancelled", "planned", "Planned")}
    book = read(tmp_path, "", **sheets)
    assert len(book.changes[book.changes["observed"]]) == 1
    assert [sentence(one).removeprefix(f"{tmp_path}/") for one in book.told][:2] == [
        'log.xlsx, changes, rows 4-5, Status "planned": 2 rows have this, and the table words does'
        " not say what it means. Give it a row there (changes, only): yes or skip under ours. Set"
        " aside for now.",
        'log.xlsx, changes, row 3, Status "cancelled": 1 row has this, and the table words does not'
        " say what it means. Give it a row there (changes, only): yes or skip under ours. Set aside"
        " for now.",
    ]
    words = lines_of("changes", "only", "cancelled skip | planned skip")
    decided = read(tmp_path, "", words, **sheets)
    assert [tally[2:] for tally in decided.tallies if tally.table == "changes"] == [(4, 1, 0, 0, 3)]
    assert not [one for one in decided.told if one.severity == "set aside"]


def test_a_column_of_other_words_is_no_status(tmp_path):
    book = read(tmp_path, "", readings=HOURS, changes=orders("open crack", "done", None, "worn"))
    assert not [one for one in book.told if one.severity == "set aside"]


def test_hours_run_are_summed_to_a_meter(tmp_path):
    columns = lines_of("readings", "Week *", "No machine | Day date | Run hours run")
    head = ["No", "Day", "Run hours"]
    book = read(
        tmp_path,
        columns,
        changes=FITS,
        Week_1=[head, ["GX-1", day("2025-01-05"), 20], ["GX-2", day("2025-01-05"), "7,5"]],
        Week_2=[head, ["GX-1", day("2025-01-12"), 18], ["GX-2", day("2025-01-12"), 8]],
    )
    assert readings_of(book) == [
        ("GX-1", "2025-01-05", 20),
        ("GX-1", "2025-01-12", 38),
        ("GX-2", "2025-01-05", 7.5),
        ("GX-2", "2025-01-12", 15.5),
    ]


def test_marks_by_position_become_changes(tmp_path):
    columns = lines_of(
        "changes",
        "Marks",
        "Machine [down] machine | Date date | [heading] position | [cell] action",
    )
    words = "changes,action,N,fit\nchanges,action,X,turn\nchanges,position,Initials,skip"
    marks = [
        ["Machine", "Date", "front blade", "left brush", "Initials"],
        ["GX-1", day("2025-01-06"), "N", "n", "jb"],
        [None, day("2025-01-13"), "X", None, "jb"],
        ["GX-2", day("2025-01-14"), None, None, None],
    ]
    book = read(tmp_path, columns, words, readings=HOURS, Marks=marks)
    assert changes_of(book) == [
        ("GX-1", "2025-01-06", "front blade", "fit", "worn"),
        ("GX-1", "2025-01-06", "left brush", "fit", "worn"),
        ("GX-1", "2025-01-13", "front blade", "turn", "worn"),
    ]
    assert [tally[2:] for tally in book.tallies if tally.table == "changes"] == [(3, 2, 0, 1, 0)]


def test_a_file_a_site_is_told_apart_by_the_name_of_the_file(tmp_path):
    columns = lines_of("readings", "*.csv", "[file] machine | No machine | Day date | Meter hours")
    for site, hours in (("north", 900), ("south", 40)):
        (tmp_path / f"{site}.csv").write_text(f"No,Day,Meter\n1,2025-01-06,{hours}\n")
    rows = [[f"{site} 1", *FITS[1][1:]] for site in ("north", "south")]
    log = records(tmp_path / "log.xlsx", changes=[FITS[0], *rows])
    files = [tmp_path / "north.csv", tmp_path / "south.csv"]
    book = read_logbook(log, *files, mapping(tmp_path / "mapping.xlsx", columns))
    assert readings_of(book) == [("north 1", "2025-01-06", 900), ("south 1", "2025-01-06", 40)]


def test_words_of_another_language_are_read_in_a_sheet_of_ours(tmp_path):
    changes = [[*FITS[0]], ["GX-1", day("2025-01-06"), "vorn", "gewendet", "gerissen"]]
    words = """
        changes,position,vorn,front blade
        changes,action,Gewendet,turn
        changes,cause,gerissen,damaged
    """
    book = read(tmp_path, "", words, readings=HOURS, changes=changes)
    assert changes_of(book) == [("GX-1", "2025-01-06", "front blade", "turn", "damaged")]


def test_the_second_row_of_headings_may_name_what_the_mapping_does_not(tmp_path):
    book = read(
        tmp_path,
        lines_of("readings", "Hours", "Date date | [heading] machine | [cell] hours"),
        changes=[FITS[0], ["north 1", *FITS[1][1:]]],
        Hours=[["Date", "north", None], [None, 1, 2], [day("2025-01-06"), 10, 20]],
    )
    assert readings_of(book) == [("north 1", "2025-01-06", 10), ("north 2", "2025-01-06", 20)]


def test_a_text_row_with_a_cell_too_many_is_set_aside_through_a_mapping_too(tmp_path):
    columns = lines_of("readings", "book", "No machine | Day date | Meter hours")
    (tmp_path / "book.csv").write_text("No,Day,Meter\nGX-1,2025-01-06,12,5\nGX-1,2025-01-13,20\n")
    log = records(tmp_path / "log.xlsx", changes=FITS[:2])
    book = read_logbook(log, tmp_path / "book.csv", mapping(tmp_path / "mapping.xlsx", columns))
    assert readings_of(book) == [("GX-1", "2025-01-13", 20)]


def test_a_sheet_without_the_headings_that_a_pattern_expects_is_left_out_and_told(tmp_path):
    columns = lines_of("readings", "*", "No machine | Day date | Meter hours")
    sheets = {"Book": [["No", "Day", "Meter"], ["GX-1", day("2025-01-06"), 7]]}
    book = read(tmp_path, columns, changes=FITS[:2], Cover=[["Meter book"], ["hall 1"]], **sheets)
    assert readings_of(book) == [("GX-1", "2025-01-06", 7)]
    told = [one.wrong for one in book.told if "Cover" in one.wrong]
    assert told == [
        '"Cover" has none of the headings that the table columns names for it; it was left out'
    ]


def test_findings_name_the_sheet_the_row_and_the_heading_of_the_original(tmp_path):
    columns = lines_of("readings", "Book", "No machine | Tag date | Zähler hours")
    rows = [["Buch"], [], ["No", "Tag", "Zähler"], ["GX-1", day("2025-01-06"), "sieben"]]
    rows.append(["GX-1", day("2025-01-13"), 8])
    book = read(tmp_path, columns, changes=FITS[:2], Book=rows)
    (told,) = [sentence(one) for one in book.told if one.severity == "set aside"]
    assert told.removeprefix(f"{tmp_path}/").startswith(
        'log.xlsx[Book], readings, row 4, Zähler "sieben": not a number'
    )


def test_the_pieces_of_a_row_are_shared_among_what_it_says_was_fitted(tmp_path):
    columns = lines_of("changes", "Log", "Machine machine | Date date | Job did | Qty pieces")
    words = """
        changes,did,brushes and edge,,left brush,fit,
        changes,did,brushes and edge,,right brush,fit,
        changes,did,brushes and edge,,front blade,turn,
    """
    head = ["Machine", "Date", "Job", "Qty"]
    jobs = [["GX-1", day("2025-01-06"), "brushes and edge", many] for many in (2, 3)]
    book = read(tmp_path, columns, words, readings=HOURS, Log=[head, *jobs])
    assert book.changes["pieces"].fillna(0).tolist() == [2, 3, 1, 0, 1, 0]


def test_a_name_that_no_sheet_is_called_by_is_told(tmp_path):
    book = read(tmp_path, "readings,GX-*,Meter,hours", readings=HOURS, changes=FITS[:2])
    (told,) = [sentence(one) for one in book.told if one.table == "columns"]
    assert told.endswith(
        'row 2, sheet "GX-*": no sheet or file given is called so. Correct the name, or give'
        " the file."
    )


def test_a_status_that_the_mapping_leaves_undecided_still_counts_no_planned_work(tmp_path):
    sheets = {"readings": HOURS, "changes": orders("done", "planned")}
    book = read(tmp_path, "changes,changes,Status,", **sheets)
    assert [tally[2:] for tally in book.tallies if tally.table == "changes"] == [(2, 1, 1, 0, 0)]


def test_the_marked_copy_marks_the_sheets_that_a_mapping_read(tmp_path):
    columns = lines_of("readings", "Book", "No machine | Tag date | Zähler hours")
    rows = [["No", "Tag", "Zähler"], ["GX-1", day("2025-01-06"), "sieben"]]
    rows.append(["GX-1", day("2025-01-13"), 8])
    book = read(tmp_path, columns, changes=FITS[:2], Book=rows)
    copy = marked_copy([tmp_path / "log.xlsx", tmp_path / "mapping.xlsx"], book.told)
    page = load_workbook(BytesIO(copy))["Book"]
    assert page["C2"].comment.text == "Set aside: not a number. Write a plain number."


def test_hours_run_under_a_plain_heading_are_refused_with_both_cures(tmp_path):
    hours = [["machine", "date", "Run hours"], *HOURS[1:]]
    with pytest.raises(UnusableTable) as stop:
        read(tmp_path, "", readings=hours, changes=FITS[:2])
    assert str(stop.value).endswith(
        'row 1: "Run hours" may be hours run in a period, which are no meter. Name the column hours'
        " if it is the meter; if not, give it run in a table columns, then run again."
    )
    book = read(tmp_path, "readings,,Run hours,run", readings=hours, changes=FITS[:2])
    assert readings_of(book) == [("GX-1", "2025-01-06", 1)]


def test_work_named_among_the_readings_of_one_sheet_feeds_changes_too(tmp_path):
    columns = lines_of(
        "readings", "Dziennik", "Maszyna machine | Data date | Licznik hours | Prace did"
    )
    log = [
        ["Maszyna", "Data", "Licznik", "Prace"],
        ["GX-1", day("2025-01-06"), 10, "guma nowa"],
        ["GX-1", day("2025-01-13"), 22, None],
    ]
    words = "changes,did,guma nowa,,front blade,fit,worn"
    book = read(tmp_path, columns, words, Dziennik=log)
    assert readings_of(book)[-1] == ("GX-1", "2025-01-13", 22)
    assert changes_of(book) == [("GX-1", "2025-01-06", "front blade", "fit", "worn")]


def test_a_part_brought_back_is_no_change(tmp_path):
    done = [[*FITS[0], "pieces"], [*FITS[1], 1], [*FITS[2], -1]]
    readings = [["machine", "date", "hours"], ["GX-1", day("2025-01-06"), 10]]
    readings += [["GX-2", day("2025-01-06"), 10]]
    book = read(tmp_path, "", changes=done, readings=readings)
    assert changes_of(book) == TWO_FITS[:1]
