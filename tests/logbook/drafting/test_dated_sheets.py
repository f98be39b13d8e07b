"""Where days stand in headings, in the name of a sheet or of a file."""

from tests.logbook.drafting.makers import columns, drafted, sheet
from wearcast.logbook.drafting.draft import draft_mapping


def test_a_grid_of_weeks_takes_its_year_from_the_sheet():
    draft = drafted(
        """
        Machine  KW 1  KW 2  KW 3  Total
        M1       100   120   141   361
        M2       200   229   250   679
    """,
        "Hours 2026",
    )
    assert columns(draft) == [
        "readings | Hours 2026 | Machine | machine",
        "readings | Hours 2026 | [sheet] | date",
        "readings | Hours 2026 | [heading] | date",
        "readings | Hours 2026 | [cell] | hours",
        "readings | Hours 2026 | Total | ",
    ]


def test_numbers_of_a_grid_that_may_be_anything_are_left_to_the_person():
    grid = """
        Machine  KW 1  KW 2  KW 3  KW 4
        M1       12    8     11    9
        M2       7     12    9     10
    """
    assert "readings | 2026 | [cell] | " in columns(drafted(grid, "2026"))
    told = columns(drafted(grid, "Hours run 2026"))
    assert "readings | Hours run 2026 | [cell] | run" in told


def test_work_in_the_cells_of_a_grid_of_weeks_is_read_from_every_week():
    draft = drafted(
        """
        Machine  Week 4              Week 5             Week 6
        M1       front blade turned  -                  new left brush
        M2       rear blade turned   rear blade turned  -
    """,
        "Work 2026",
    )
    assert columns(draft)[1:] == [
        "changes | Work 2026 | [sheet] | date",
        "changes | Work 2026 | [heading] | date",
        "changes | Work 2026 | [cell] | did",
    ]
    assert draft.phrases == 3


def test_a_tab_of_a_month_without_days_is_dated_by_its_name_and_the_file():
    tabs = [
        sheet("Machine  Meter at the end\nM1  100\nM2  200", month, "meters 2026.xlsx")
        for month in ("January", "February")
    ]
    assert columns(draft_mapping(tabs)) == [
        "readings | * | Machine | machine",
        "readings | * | [file] | date",
        "readings | * | [sheet] | date",
        "readings | * | Meter at the end | hours",
    ]


def test_bare_days_go_before_the_month_of_their_sheet():
    tab = sheet("Day  Machine  Hours\n5  M1  100\n12  M1  120\n19  M1  141", "Jan 2026")
    assert columns(draft_mapping([tab]))[:2] == [
        "readings | Jan 2026 | Day | date",
        "readings | Jan 2026 | [sheet] | date",
    ]


def test_meter_and_work_side_by_side_under_a_machine_are_no_machines():
    draft = drafted("""
        Date        GX-1   -            GX-2   -
        -           Meter  Work         Meter  Work
        2026-01-05  100    -            200    new left brush
        2026-01-12  120    brush ok     230    -
        2026-01-19  141    -            260    -
    """)
    assert not [row for row in draft.columns if row.theirs == "[heading]"]
