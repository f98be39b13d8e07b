"""What can be but seldom is: used, and told in one line. Cases are common practice (no source)."""

from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, cases, changed, read_tables, told_of

CORRECT_DAY = "Correct the day, or the name there."
PARTS = "part,kind,price,lead_days,lead_days_sd,wears_as\n"

# table, as it stands in the sound logbook, as the person wrote it, what is told
CASES = cases("""
a site with a slip | machines | M-015,North Hall | M-015,Nroth Hall
    machines.csv, row 2, site "North Hall": looks like Nroth Hall; kept apart from it. If North
    Hall is Nroth Hall, write it so.
a supplier with a slip | parts | Bristlers | Northrubbr
    parts.csv, row 3, supplier "Northrubbr": looks like Northrubber; kept apart from it. If
    Northrubbr is Northrubber, write it so.
a part for nothing | parts | blade,4,18.5 | blade,4,0
    parts.csv, row 2, price "0": costs count these parts as free. If not, write the price.
a shelf in two rows | stock | BR-2,2 | GB-1,9,main,2026-02-12\\nBR-2,2
    stock.csv, rows 2-3, on_hand "4, 9": GB-1 at main stands in 2 rows of one day; their pieces
    are added up. If a count replaces another, keep the newest.
an old count | stock | GB-1,4,main,2026-02-12 | GB-1,4,main,2025-02-12
    stock.csv, row 2, counted "2025-02-12": counted more than a year before as-of. Count them
    again.
a depot that supplies nobody | stock | GB-1,4,main | GB-1,4,yard
    stock.csv, row 2, depot "yard": no machine is supplied from yard; these pieces serve none.
    Correct the name, or name that depot under machines.
a depot with a slip | stock | GB-1,4,main | GB-1,4,mian
    stock.csv, row 2, depot "mian": no machine is supplied from mian; these pieces serve none.
    Did you mean main? Correct the name, or name that depot under machines.
an order for a depot that supplies nobody | on_order | 2026-03-20,main | 2026-03-20,yard
    on_order.csv, row 2, depot "yard": no machine is supplied from yard; these pieces serve
    none. Correct the name, or name that depot under machines.
an order due in a far year | on_order | 2026-03-20 | 2062-03-20
    on_order.csv, row 2, due "2062-03-20": due more than two years after as-of. See that the
    year is right.
plans that overlap | plans | 2026-08-16\\n | 2026-08-16\\nM-015,2026-08-10,12,2026-09-01\\n
    plans.csv, rows 2-3, start "2026-07-06, 2026-08-10": plans of M-015 overlap; the one that
    starts later holds while it lasts. If that is not meant, correct their days.
a machine without a floor | floors | M-015,vinyl,1,\\n | nothing
    machines.csv, row 3, machine "M-015": no floor is given for M-015; it counts as unknown. Add
    rows to the table floors.
a rate with its currency | settings | service_level,0.95 | labour_rate,"35,50 EUR"
    settings.csv, row 3, value "35,50 EUR": read as 35.50. Repaired.
""") | {
    "readings after the machine retired": (
        *("machines", "M-014,North Hall,main,65,,", "M-014,North Hall,main,65,,2026-01-20"),
        'machines.csv, row 2, retired "2026-01-20": M-014 has readings or changes until'
        f" 2026-02-16, after it retired. {CORRECT_DAY}",
    ),
    "readings before the machine came": (
        *("machines", "M-014,North Hall,main,65,", "M-014,North Hall,main,65,2026-02-01"),
        'machines.csv, row 2, in_service "2026-02-01": M-014 has readings or changes from'
        f" 2026-01-05 on, before it was in service. {CORRECT_DAY}",
    ),
    "parts that replace each other": (
        *("parts", SOUND["parts"], "part,price,replaced_by\nGB-1,18.5,BR-2\nBR-2,92,GB-1\n"),
        'parts.csv, rows 2-3, replaced_by "BR-2, GB-1": BR-2 and GB-1 replace each other in a'
        " circle; the cell counts as blank. Leave it blank at the part that is still sold. Set"
        " aside for now.",
    ),
    "a lead time that spreads beyond itself": (
        *("parts", SOUND["parts"], PARTS + "GB-1,blade,18.5,14,60,\nBR-2,brush,92,21,3,\n"),
        'parts.csv, row 2, lead_days_sd "60": the spread of the delivery time is larger than the'
        " time itself. See that lead_days_sd is a standard deviation.",
    ),
    "a blade and a brush that wear alike": (
        *("parts", SOUND["parts"], PARTS + "GB-1,blade,18.5,14,,x\nBR-2,brush,92,21,,x\n"),
        'parts.csv, rows 2-3, wears_as "x": blade, brush do not wear alike: each kind is fitted'
        " by itself, as x, and the kind. Give parts of each kind a word of their own. Repaired.",
    ),
    "words that cross": (
        *("parts", SOUND["parts"], PARTS + "GB-1,blade,18.5,14,,BR-2\nBR-2,brush,92,21,,GB-1\n"),
        'parts.csv, rows 2-3, wears_as "BR-2, GB-1": the part of that name wears as another; the'
        " two are fitted apart. Give parts that wear alike one and the same word.",
    ),
}


@pytest.mark.parametrize("case", CASES, ids=str)
def test_an_oddity_is_told_in_one_line(case: str, tmp_path: Path):
    table, sound, written, told = CASES[case]
    assert told_of(read_tables(tmp_path, changed(table, sound, written))) == [told]


def test_machines_of_the_readings_alone_without_a_floor_are_told_there(tmp_path: Path):
    tables = {name: SOUND[name] for name in ("readings", "changes", "parts")}
    book = read_tables(tmp_path, {**tables, "floors": "machine,floor\nM-014,vinyl\nM-022,oak\n"})
    assert told_of(book) == [
        'readings.csv, rows 5-7, machine "M-015": no floor is given for M-015; it counts as'
        " unknown. Add rows to the table floors."
    ]


def test_a_chain_of_replaced_parts_is_no_circle(tmp_path: Path):
    parts = "part,price,replaced_by\nGB-1,18.5,GB-2\nGB-2,19,GB-3\nGB-3,20,\nBR-2,92,GB-1\n"
    book = read_tables(tmp_path, {**SOUND, "parts": parts})
    assert told_of(book) == []
    assert sorted(book.parts["replaced_by"]) == ["", "GB-1", "GB-2", "GB-3"]


def test_a_part_beside_a_circle_still_names_its_successor(tmp_path: Path):
    parts = "part,price,replaced_by\nGB-1,18.5,GB-2\nGB-2,19,GB-3\nGB-3,20,GB-2\nBR-2,92,\n"
    book = read_tables(tmp_path, {**SOUND, "parts": parts})
    assert list(book.parts["replaced_by"]) == ["", "GB-2", "", ""]
