"""Columns of marks, what a sheet says of them itself, and rows that it says do not count."""

import pytest

from tests.logbook.drafting.makers import columns, drafted, words

CARDS = """
    Machine  Date        Meter  Front  Brush L  Brush R
    M1       2026-01-05  100    O      O        O
    M1       2026-01-12  120    {0}    O        R
    M1       2026-01-19  140    O      R        O
    Key: O = ok, not touched; {0} = {1}; R = renewed (red)
"""


def test_a_legend_below_the_table_explains_its_marks():
    told = words(drafted(CARDS.format("G", "turned (green)")))
    assert (told["O"], told["G"], told["R"]) == ("skip", "turn", "fit")


def test_a_legend_that_tells_the_cause_makes_phrases_of_place_and_mark():
    told = words(drafted(CARDS.format("RT", "torn, renewed")))
    assert told["Brush L R"] == "left brush fit"
    assert told["Front RT"] == ""


def test_a_place_without_its_part_is_asked_for_where_it_is_marked_as_others_are():
    told = words(drafted(CARDS.format("G", "turned (green)")))
    assert told["Front"] == ""


def test_rows_without_a_mark_count_where_only_those_that_do_not_are_marked():
    log = """
        Machine  Date        Meter  Work                Remark
        M1       2026-01-05  100    front blade turned  -
        M1       2026-01-12  120    rear blade turned   VOID - entered in error
        M1       2026-01-19  140    -                   -
    """
    told = words(drafted(log))
    assert (told["VOID - entered in error"], told["[blank]"]) == ("no", "yes")
    done = words(drafted(log.replace("VOID - entered in error", "done")))
    assert done["[blank]"] == ""


def test_days_under_deeds_are_changes_with_the_deed_as_their_action():
    cards = """
        Machine  Position     Fitted      Turn 1      Turn 2      Next turn
        M1       front blade  2026-01-05  2026-01-19  2026-02-02  2026-02-16
        M1       rear blade   2026-01-06  2026-01-26  -           2026-02-20
        M2       front blade  2026-01-07  2026-01-27  2026-02-09  2026-02-23
    """
    draft = drafted(cards, "Cards")
    assert columns(draft) == [
        "changes | Cards | Machine | machine",
        "changes | Cards | Position | position",
        "changes | Cards | [heading] | action",
        "changes | Cards | [cell] | date",
        "changes | Cards | Next turn | ",
    ]
    told = words(draft)
    assert (told["Fitted"], told["Turn 2"], told["front blade"]) == ("fit", "turn", "front blade")


def test_a_list_of_parts_bought_for_machines_is_told():
    bought = """
        Invoice date  Machine  Article      Quantity  Unit price
        2026-01-14    M1       front blade  2         18.5
        2026-02-14    M1       left brush   2         40
    """
    told = drafted(bought, "Spend").told
    assert any("Spend looks like a list of what was bought" in one for one in told)


@pytest.mark.parametrize(("yes", "no"), [("oui", "non"), ("1", "0")])
def test_questions_are_answered_in_words_or_numbers(yes: str, no: str):
    asked = f"""
        Machine  Date        Meter  Front blade turned  Left brush new
        M1       2026-01-05  100    {yes}               {no}
        M1       2026-01-12  120    {no}                {yes}
    """
    told = words(drafted(asked))
    assert (told[yes], told[no]) == ("yes", "no")


def test_hours_on_a_list_of_work_that_are_no_meter_are_not_hours_run():
    jobs = "Date  Machine  Work done  Hours\n"
    jobs += "\n".join(
        f"2026-01-{day:02}  M1  front blade turned  {hours}"
        for day, hours in enumerate([0.5, 1.5, 0.25, 1, 0.75, 0.5, 2, 0.25], 5)
    )
    draft = drafted(jobs)
    assert draft.tables == {"changes"}
    assert any("No sheet shows an hour meter" in one for one in draft.told)


def test_work_with_a_question_mark_is_for_the_person():
    log = """
        Machine  Date        Meter  Work
        M1       2026-01-05  100    front blade turned
        M1       2026-01-12  120    front blade changed?
    """
    told = words(drafted(log))
    assert (told["front blade turned"], told["front blade changed?"]) == ("front blade turn", "")
