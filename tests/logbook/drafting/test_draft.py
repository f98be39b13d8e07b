"""What is proposed for sheets of several shapes."""

import datetime

from tests.logbook.drafting.makers import columns, drafted, sheet, words
from tests.studies.records.kept import workbook
from wearcast.cli.main import run
from wearcast.logbook.book import read_logbook
from wearcast.logbook.drafting.draft import draft_mapping
from wearcast.logbook.reshape.mapping import Mapping, Rule
from wearcast.logbook.reshape.mapping import Word as Meant

LOG = """
    Date        Machine  Hours  Remarks
    2026-01-05  M1       100    -
    2026-01-08  M1       109    turned front blade, worn
    2026-01-12  M1       120    new left brush
    2026-01-19  M1       141    replaced sealing strip
    2026-01-26  M1       163    tank cleaned
"""


BARE = LOG.replace("  Machine", "").replace("  M1     ", "")


def test_sheets_of_machines_go_by_a_pattern_and_their_name():
    pages = [sheet(BARE, name) for name in ("GX-01", "GX-02")]
    draft = draft_mapping([*pages, sheet("a note", "Cover")])
    assert columns(draft)[:2] == [
        "readings | GX-* | [sheet] | machine",
        "readings | GX-* | Date | date",
    ]


def test_a_file_a_machine_goes_by_the_name_of_the_file():
    files = [sheet(BARE, "Book", f"GX-0{number}.xlsx") for number in (1, 2)]
    draft = draft_mapping(files)
    assert columns(draft)[0] == "readings | Book | [file] | machine"


def test_one_sheet_without_a_machine_is_left_to_the_person():
    draft = drafted(BARE, "Otter")
    assert columns(draft)[0] == "readings | Otter | [sheet] | "
    assert draft.told == (
        "records.xlsx, Otter: not all of its headings are known, or nothing surely names the"
        " machine; complete ours in its yellow rows of columns: machine, date, hours for the meter,"
        " did for what was done or fitted; leave what says nothing blank. To have its words"
        " listed, run import again with this mapping among the records.",
    )


def test_half_a_sheet_is_left_out_where_others_feed_its_table():
    draft = draft_mapping([sheet(LOG), sheet(BARE, "Otter")])
    assert not [row for row in columns(draft) if "Otter" in row]
    assert draft.told == (
        "records.xlsx, Otter was left out: it is not sure what names its machine or"
        " what its numbers count; if its rows count, give it rows in columns.",
    )


MARKS = """
    {}
    Date        Machine  Hours  Front blade  Left brush  By
    2026-01-05  M1       100    T            -           jo
    2026-01-12  M1       120    N            X           jo
    2026-01-19  M1       141    T            -           jo
"""


def test_marks_under_positions_are_left_open_unless_the_sheet_explains_them():
    draft = drafted(MARKS.format("Card"))
    assert [row for row in columns(draft) if row.startswith("changes")][2:] == [
        "changes | Log | Hours | hours",
        "changes | Log | [heading] | position",
        "changes | Log | [cell] | action",
        "changes | Log | By | ",
    ]
    open_words = dict.fromkeys("TNX", "")
    open_words |= {"Front blade": "front blade", "Left brush": "left brush"}
    assert words(draft) == open_words
    explained = drafted(MARKS.format("T = turned, N = new, X = new brush"))
    assert words(explained) == open_words | {"T": "turn", "N": "fit", "X": "fit"}


def test_two_positions_in_a_cell_make_phrases_of_position_and_action():
    draft = drafted("""
        Date        Machine  Where               Action
        2026-01-05  M1       left + right brush  replaced
        2026-01-12  M1       front blade         turned
    """)
    assert columns(draft)[2:] == ["changes | Log | Where | did", "changes | Log | Action | did"]
    both = [word for word in draft.words if word.theirs == "left + right brush replaced"]
    told = [(word.position, word.action) for word in both]
    assert told == [("left brush", "fit"), ("right brush", "fit")]


def test_a_machine_in_the_first_row_of_its_block_is_filled_down():
    draft = drafted("""
        Machine  Date        Hours
        M1       2026-01-05  100
        -        2026-01-12  120
        -        2026-01-19  141
        M2       2026-01-05  300
        -        2026-01-12  320
    """)
    assert columns(draft)[0] == "readings | Log | Machine [down] | machine"


def test_machines_numbered_anew_in_each_file_get_the_file_before_their_number():
    work = "Machine  Date  Work\n1  2026-01-08  front blade turned\n1  2026-01-15  front blade new"
    sheets = []
    for site, first in (("harbour", 100), ("market", 2000)):
        days = "\n".join(f"1  2026-01-{day:02}  {first + day}" for day in range(5, 25, 2))
        sheets += [
            sheet(f"Machine  Date  Hours\n{days}", "Meters", f"{site}.xlsx"),
            sheet(work, "Work", f"{site}.xlsx"),
        ]
    told = columns(draft_mapping(sheets))
    assert told[:2] == [
        "readings | Meters | [file] | machine",
        "readings | Meters | Machine | machine",
    ]
    assert "changes | Work | [file] | machine" in told


def test_one_meter_in_two_files_stays_one_machine():
    quarters = []
    for name, first in (("spring", 5), ("summer", 15)):
        days = "\n".join(f"1  2026-01-{day:02}  {100 + day}" for day in range(first, first + 9))
        quarters.append(sheet(f"Machine  Date  Hours\n{days}", "Meters", f"{name}.xlsx"))
    assert columns(draft_mapping(quarters))[0] == "readings | Meters | Machine | machine"


def test_purchases_cannot_show_wear():
    bought = sheet("""
        Invoice date  Article  Qty  Unit price
        2026-01-05    blade    4    12.5
        2026-01-12    brush    2    30
    """)
    draft = draft_mapping([bought])
    assert draft.columns == ()
    assert (
        draft.told[0] == "records.xlsx, Log says what was bought; purchases alone cannot show wear."
    )


def test_words_and_rules_decided_before_stay_and_new_ones_are_added():
    rules = tuple(
        Rule(table, "Log", theirs, ours)
        for table, pairs in {
            "readings": {"Date": "date", "Machine": "machine", "Hours": "hours"},
            "changes": {"Date": "date", "Machine": "machine", "Remarks": "did"},
        }.items()
        for theirs, ours in pairs.items()
    )
    decided = {
        "replaced sealing strip": (Meant(position="strip", action="fit"),),
        "new left brush": (Meant(position="main brush", action="fit", cause="planned"),),
        "gone by now": (Meant(ours="skip"),),
    }
    draft = draft_mapping([sheet(LOG)], Mapping(rules, {("changes", "did"): decided}))
    assert [row.ours for row in draft.columns] == [rule.ours for rule in rules]
    assert words(draft) == {
        "turned front blade, worn": "front blade turn worn",
        "new left brush": "main brush fit planned",
        "replaced sealing strip": "strip fit",
        "tank cleaned": "skip",
        "gone by now": "skip",
    }


def test_positions_are_called_as_the_own_table_calls_them():
    own = sheet("""
        machine  position         part
        M1       front squeegee   GB-1
        M1       side skirts      SK-1
    """, "positions")  # fmt: skip
    assert words(draft_mapping([sheet(LOG), own]))["turned front blade, worn"] == (
        "front squeegee turn worn"
    )


def test_more_phrases_than_anybody_reads_are_counted_and_said():
    days = [f"2026-01-{day:02}  M1  {number} oddities" for number, day in enumerate([5, 6] * 600)]
    draft = drafted("Date  Machine  Work done\n" + "\n".join(days))
    assert (draft.phrases, len(draft.listed)) == (1200, 1000)
    assert draft.told[-1].startswith("200 more undecided phrases")


def test_a_name_of_its_own_stays_and_one_that_says_too_little_is_left_open():
    draft = drafted("""
        Date        Machine  Position     Action
        2026-01-05  M1       side skirts  new
        2026-01-06  M1       front blade  turned
        2026-01-07  M1       blade        turned
        2026-01-08  M1       front        turned
    """)
    said = words(draft)
    assert (said["side skirts"], said["blade"], said["front"]) == ("side skirts", "", "")


def test_a_list_of_parts_fitted_leaves_what_was_done_to_the_person():
    draft = drafted("Date  Machine  Part fitted\n2026-01-05  M1  Front blade\n" * 2)
    (word,) = draft.words
    told = (word.column, word.position, word.action, word.decided)
    assert told == ("did", "front blade", "", False)


def test_work_that_is_not_read_is_said():
    draft = drafted("""
        Date        Machine  Position     Action  Mehr
        2026-01-05  M1       front blade  turned  rear blade turned
        2026-01-12  M1       left brush   new     rear blade replaced
    """)
    assert (
        'records.xlsx, Log: "Mehr" looks like work done and is not read; give it a row in columns'
        " if it is."
    ) in draft.told


def test_pieces_of_a_row_that_tells_of_two_parts_are_left_out():
    draft = drafted("""
        Date        Machine  Work                   Qty
        2026-01-05  M1       both brushes replaced  2
        2026-01-12  M1       left brush replaced    1
        2026-01-19  M1       right brush replaced   1
    """)
    assert columns(draft)[-2:] == ["changes | Log | Work | did", "changes | Log | Qty | "]


def test_a_column_a_question_needs_nothing_from_the_person():
    found = drafted("""
        Machine  Date        Hours  Front blade turned?  Front blade replaced?
        M1       2026-01-05  120    no                   no
        M1       2026-01-12  150    yes                  no
        M1       2026-01-19  181    no                   yes
    """)
    assert columns(found)[-2:] == [
        "changes | Log | [heading] | did",
        "changes | Log | [cell] | only",
    ]
    assert words(found) == {
        "no": "no",
        "yes": "yes",
        "Front blade turned?": "front blade turn",
        "Front blade replaced?": "front blade fit",
    }


def test_stores_issues_to_known_machines_are_left_open_for_the_person():
    meters = "Machine  Date  Hours\n"
    meters += "\n".join(
        f"FS{n}  2026-01-{d:02}  {100 * n + d}" for n in (1, 2) for d in range(5, 9)
    )
    issues = """
        Posting date  Doc no  Material     Amount EUR  Cost object
        2026-01-06    5001    SQ-600 gum   31.5        FS1
        2026-01-07    5002    BR-20 nylon  62          FS2
    """
    found = draft_mapping([sheet(meters, "Meters"), sheet(issues, "Issues")])
    opened = [row.theirs for row in found.columns if row.open]
    assert opened == ["Doc no", "Material", "Amount EUR"]
    assert "changes | Issues | Cost object | machine" in columns(found)


def imported(folder, rows):
    """A workbook of one sheet, read through what is drafted for it."""
    path, drafted = workbook(folder / "log.xlsx", {"Log": rows}), folder / "map.xlsx"
    assert run(["import", str(path), "-o", str(drafted), "-q"]) == 0
    return read_logbook(path, drafted)


def test_two_lists_beside_each_other_are_drafted_each_by_itself(tmp_path):
    rows = [["Date", "Machine", "Hours", None, "Date", "Machine", "Part", "What"]]
    days = [datetime.datetime(2026, 1, day) for day in (5, 12, 19, 26)]
    rows += [[day, "M1", 100 + at * 30, None] for at, day in enumerate(days)]
    for row, done in zip(rows[1:], ("turned", "new", "turned"), strict=False):
        row += [row[0] + datetime.timedelta(days=2), "M1", "front blade", done]
    book = imported(tmp_path, rows)
    assert len(book.readings) == 4
    assert book.changes["date"].dt.day.tolist() == [7, 14, 21]


def test_a_second_table_below_the_first_is_told():
    found = drafted("""
        Date        Machine  Hours
        2026-01-05  M1       120
        2026-01-12  M1       150
        2026-01-19  M1       181
        Date        Machine  Position     Action
        2026-01-06  M1       front blade  turn
    """)
    assert "Log: a second table begins in row 5" in found.told[0]
    assert "readings | Log | Hours | hours" in columns(found)


def test_ditto_marks_take_the_cell_above(tmp_path):
    rows = [["Date", "Machine", "Meter", "Work"]]
    for at, machine in enumerate(["M1", '"', "-\u201d-", "M2", "do."]):
        day = datetime.datetime(2026, 1, 5 + at)
        rows += [[day, machine, 100 + at, None], ['"', '"', 100.5 + at, "front blade turned"]]
    book = imported(tmp_path, rows)
    assert book.changes["machine"].tolist() == ["M1"] * 3 + ["M2"] * 2
    assert book.changes["date"].dt.day.tolist() == [5, 6, 7, 8, 9]


def test_of_two_meters_the_person_says_which():
    found = drafted("""
        Date        Machine  Hours (key)  Hours (brush)  Work
        2026-01-05  M1       120          90             front blade turned
        2026-01-12  M1       160          118            left brush new
        2026-01-19  M1       201          147            front blade turned
    """)
    opened = [row.theirs for row in found.columns if row.open]
    assert opened == ["Hours (key)", "Hours (brush) #2"]


def test_what_is_planned_is_not_done():
    plan = """
        Planned date  Machine  Job
        2026-02-05    M1       replace front blade
        2026-03-05    M1       replace left brush
    """
    found = draft_mapping([sheet(LOG), sheet(plan, "Service plan")])
    assert not any("plan" in row for row in columns(found))
    assert "Service plan was left out: its days are planned ones" in found.told[0]


def test_a_side_beside_the_part_makes_its_place():
    found = drafted("""
        Date        Unit  Item      Side   What
        2026-01-05  M1    Squeegee  Front  turned
        2026-01-12  M1    Squeegee  Rear   replaced
        2026-01-19  M1    Brush     L      replaced
    """)
    assert words(found) | {"turned": "", "replaced": ""} == {
        "Squeegee Front": "front blade",
        "Squeegee Rear": "rear blade",
        "Brush L": "left brush",
        "turned": "",
        "replaced": "",
    }


def test_work_under_the_names_of_machines_is_a_grid():
    found = drafted("""
        Date        SC1                 SC2
        2026-01-05  front blade turned  -
        2026-01-12  -                   left brush new
        2026-01-19  left brush new      rear blade turned
    """)
    assert columns(found) == [
        "changes | Log | Date | date",
        "changes | Log | [heading] | machine",
        "changes | Log | [cell] | did",
    ]
