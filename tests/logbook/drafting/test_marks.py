"""Columns of marks, what a sheet says of them itself, and rows that it says do not count."""

from tests.logbook.drafting.makers import sheet, words
from wearcast.logbook.drafting.draft import draft_mapping

CARDS = """
    Machine  Date        Meter  Front  Brush L  Brush R
    M1       2026-01-05  100    O      O        O
    M1       2026-01-12  120    {0}    O        R
    M1       2026-01-19  140    O      R        O
    Key: O = ok, not touched; {0} = {1}; R = renewed (red)
"""


def test_a_legend_below_the_table_explains_its_marks():
    told = words(draft_mapping([sheet(CARDS.format("G", "turned (green)"))]))
    assert (told["O"], told["G"], told["R"]) == ("skip", "turn", "fit")


def test_a_legend_that_tells_the_cause_makes_phrases_of_place_and_mark():
    told = words(draft_mapping([sheet(CARDS.format("RT", "torn, renewed"))]))
    assert told["Brush L R"] == "left brush fit"
    assert told["Front RT"] == ""


def test_a_place_without_its_part_is_asked_for_where_it_is_marked_as_others_are():
    told = words(draft_mapping([sheet(CARDS.format("G", "turned (green)"))]))
    assert told["Front"] == ""


def test_rows_without_a_mark_count_where_only_those_that_do_not_are_marked():
    log = """
        Machine  Date        Meter  Work                Remark
        M1       2026-01-05  100    front blade turned  -
        M1       2026-01-12  120    rear blade turned   VOID - entered in error
        M1       2026-01-19  140    -                   -
    """
    told = words(draft_mapping([sheet(log)]))
    assert (told["VOID - entered in error"], told["[blank]"]) == ("no", "yes")
    done = words(draft_mapping([sheet(log.replace("VOID - entered in error", "done"))]))
    assert done["[blank]"] == ""
