from tests.logbook.drafting.makers import sheet
from wearcast.logbook.drafting.lanes import marks
from wearcast.logbook.drafting.outline import outline
from wearcast.logbook.drafting.phrases import NOTHING_KNOWN
from wearcast.logbook.drafting.roles import roles_of


def roles(text: str) -> dict[str, str]:
    found = outline(sheet(text))
    assert found is not None
    return {role: lane.heading for role, lane in roles_of(found, NOTHING_KNOWN).items()}


def test_hours_that_rise_and_fall_are_hours_run_whatever_their_heading():
    text = "Week to  Machine  Hours\n"
    text += "\n".join(f"2026-01-{day:02}  M1  {20 + day % 5}" for day in range(5, 25, 3))
    assert roles(text)["run"] == "Hours"


def test_the_end_of_a_shift_is_the_meter_and_a_time_of_day_is_none():
    text = "Date  Machine  Start  End\n"
    meter = text + "\n".join(f"2026-01-{d:02}  M1  {90 + d}  {91 + d}" for d in range(5, 15))
    assert roles(meter)["hours"] == "End"
    clock = text + "\n".join(f"2026-01-{d:02}  M1  6  {14 + d % 2}" for d in range(5, 15))
    assert not {"hours", "run"} & roles(clock).keys()


def test_remarks_without_a_phrase_of_parts_are_no_work_beside_columns_that_tell_it():
    found = roles("""
        Date        Machine  Position     Action  Remarks
        2026-01-05  M1       front blade  turned  all fine
        2026-01-12  M1       rear blade   new     ask Kim
    """)
    assert found["position"] == "Position"
    assert "did" not in found


def test_the_cells_tell_what_a_strange_heading_holds():
    found = roles("""
        Date        Machine  A            B       C
        2026-01-05  M1       front blade  turned  worn
        2026-01-12  M1       rear blade   new     torn
    """)
    assert {found[role] for role in ("position", "action", "cause")} == {"A", "B", "C"}


def test_a_meter_beside_hours_run_is_the_meter_also_in_hours_and_minutes():
    text = "Date  Machine  Hours today  Total hours\n"
    text += "\n".join(f"2026-01-{d:02}  M1  {d % 3}  {140 + d}:30" for d in range(5, 15))
    assert roles(text)["hours"] == "Total hours"


def test_a_unit_and_a_signature_are_no_machines():
    text = "Equipment  Date  Counter  Unit\n"
    text += "\n".join(f"4711  2026-01-{d:02}  {140 + d}  H" for d in range(5, 15))
    assert roles(text)["machine"] == "Equipment"
    signed = "Date  Hours  Name\n"
    signed += "\n".join(f"2026-01-{d:02}  {140 + d}  Kim" for d in range(5, 15))
    assert "machine" not in roles(signed)


def test_the_edge_in_use_is_no_mark_of_work():
    text = "Machine  Date  Hours  Front blade  Rear blade\n"
    text += "\n".join(
        f"M1  2026-01-{d:02}  {40 + d}  {d % 4 + 1}  {d // 7 + 1}" for d in range(5, 25)
    )
    found = outline(sheet(text))
    assert found is not None
    assert marks(found) == []


def test_a_status_in_codes_says_which_rows_count():
    found = roles("""
        Actual finish  Equipment  Object part  Activity code  Cause code  System status
        2026-01-05     4711       A            B              worn        ZZ
        2026-01-12     4711       A            C              worn        YY
    """)
    assert found["only"] == "System status"
    assert (found["position"], found["action"]) == ("Object part", "Activity code")
