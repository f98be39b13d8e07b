"""Checked drafts become plain frames: complete, in an order of their own."""

import pytest

from tests.conftest import assert_table
from tests.logbook.rules.test_names import READ, drafts
from wearcast.logbook.frames import FRAMES, clean_frames


def change(machine="A", position="front", day=5, action="fit", **more):
    date = f"2026-01-{day:02d}" if day else None
    return {"machine": machine, "position": position, "date": date, "action": action, **more}


def test_every_frame_has_its_columns_then_where_a_row_stands():
    frames = clean_frames(drafts(readings=[{"machine": "A", **READ}]), False)
    assert tuple(frames) == FRAMES
    assert frames["readings"].columns.tolist() == [
        "machine", "date", "hours", "new_meter", "source", "row",
    ]  # fmt: skip
    assert frames["stock"].empty


@pytest.mark.parametrize(
    ("machines", "stock", "filled"),
    [
        (["x", ""], [""], [["x", "x"], ["x"]]),
        (["", ""], ["y"], [["y", "y"], ["y"]]),
        (["x", ""], ["y", ""], [["x", "main"], ["y", "main"]]),
        ([""], [""], [["main"], ["main"]]),
    ],
    ids=str,
)
def test_a_blank_depot_is_the_only_one_named_else_main(machines, stock, filled):
    rows = [{"machine": f"M{at}", "depot": name} for at, name in enumerate(machines)]
    pieces = [{"part": f"P{at}", "depot": name} for at, name in enumerate(stock)]
    frames = clean_frames(drafts(machines=rows, stock=pieces), False)
    assert [frames[name]["depot"].tolist() for name in ("machines", "stock")] == filled


def test_a_change_that_was_set_aside_at_a_known_place_is_kept_as_one_nobody_saw():
    made = drafts(
        readings=[{"machine": "A", **READ}],
        changes=[
            change(cause="damaged", hours=7.0, part="GB"),
            change(day=9, state="set aside", part="GB", cause="worn", hours=8.0),
            change(day=7),
        ],
    )
    frame = clean_frames(made, False)["changes"]
    assert_table(
        frame.assign(day=frame["date"].dt.day, observed=frame["observed"].astype(int)),
        """
        machine  day   position  action  part  cause    hours  observed
        A        5     front     fit     GB    damaged  7      1
        A        7     front     fit     -     worn     -      1
        A        9     front     -       -     -        -      0
        """,
    )
