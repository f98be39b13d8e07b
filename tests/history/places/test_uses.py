"""Pieces used in the past."""

import pytest

from tests.conftest import assert_table
from tests.history.books import deeds, history

READ = "machine  date  hours | M1  2026-01-05  1000 | M1  2026-03-02  1160"


def uses(*lines, **tables):
    return history(readings=READ, changes=deeds(*lines), **tables).uses


def test_a_fit_that_replaces_a_part_uses_its_pieces_and_an_initial_outfit_none():
    used = uses(
        "brush 01-05 fit R1",
        "brush 02-02 fit R1 damaged",
        positions="machine  position  part  pieces | M1  brush  R1  2",
    )
    assert_table(
        used, "machine  position  part  date  pieces  cause | M1  brush  R1  2026-02-02  2  damaged"
    )


@pytest.mark.parametrize(
    ("lines", "used"),
    [
        ("brush 02-02 fit R1 worn", "R1  2026-02-02"),
        ("01-05 fit B2, 01-19 turn B2 worn, 02-02 turn B2 worn", "B2  2026-02-02"),
        ("01-05 fit B4, 01-19 turn B2 worn", "B2  2026-01-19"),
        ("01-05 fit B4, 01-19 remove B4 worn, 02-02 fit B4 worn", "B4  2026-02-02"),
    ],
    ids=["a first fit", "an assumed fit and no turn", "a missed fit", "a fit after a removal"],
)
def test_each_new_piece_is_used(lines, used):
    assert_table(uses(*lines.split(", ")), f"part  date  pieces | {used}  1")


def test_a_fit_on_the_day_of_going_into_service_is_an_initial_outfit():
    used = uses(
        "brush 02-02 fit R1 worn",
        machines="machine  site  in_service | M1  hall  2026-02-02",
    )
    assert used.empty


def test_a_use_is_of_the_site_and_depot_of_its_day():
    used = uses(
        "brush 01-05 fit R1",
        "brush 01-19 fit R1 worn",
        "brush 02-16 fit R1 worn",
        machines="machine  site  depot  since | M1  hall  north  - | M1  yard  south  2026-02-02",
    )
    assert_table(used, "site  depot | hall  north | yard  south")
