"""The page: self-contained, escaped, and the figures of the CSV files."""

import re
from dataclasses import replace
from html.parser import HTMLParser

import pandas as pd
import pytest

from tests.reports import makers
from wearcast.reports.due_list import due_groups
from wearcast.reports.frames import shown_cells
from wearcast.reports.page.report_page import due_tables, page_html, page_tables
from wearcast.reports.parcel import report_frames
from wearcast.reports.texts import assumptions


class Reader(HTMLParser):
    """Collects what the tests ask about."""

    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.outside: list[str] = []
        self.tags: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        for name, value in attrs:
            if name == "id":
                self.ids.append(str(value))
            if name in ("href", "src", "xlink:href"):
                (self.links if str(value).startswith("#") else self.outside).append(str(value))

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def read(content: bytes) -> Reader:
    reader = Reader()
    reader.feed(content.decode())
    return reader


@pytest.fixture(scope="module")
def made() -> bytes:
    return page_html(makers.forecast(), "0123456789ab")


def test_the_page_fetches_nothing(made: bytes):
    page = read(made)
    assert page.outside == []
    assert not {"script", "link", "iframe", "img", "object"} & set(page.tags)
    assert b"@import" not in made
    assert not re.findall(rb"url\((?!#)", made)


def test_every_link_leads_somewhere_and_no_id_stands_twice(made: bytes):
    page = read(made)
    assert len(set(page.ids)) == len(page.ids)
    assert {link[1:] for link in page.links} <= set(page.ids)


def test_every_table_and_chart_has_a_name_for_those_who_cannot_see_it(made: bytes):
    page = made.decode()
    regions = re.findall(
        r'<div class="wide" role="region" aria-label="([^"]+)" tabindex="0">', page
    )
    assert len(regions) == page.count("<caption")
    assert all(regions)
    assert page.count("<svg") == page.count('role="img" aria-label="')
    assert '<html lang="en">' in page


def test_the_cautions_come_before_the_work(made: bytes):
    due = made.decode().split('<section id="due">')[1]
    assert due.index("gloves and eye protection") < due.index("<table")


def test_markup_in_a_text_of_the_logbook_stays_text():
    nasty = '<script>alert("x")</script>&amp;'
    order = makers.order().assign(name=nasty, why=nasty, supplier=nasty)
    machines = makers.machines().assign(machine=nasty, site=nasty)
    page = page_html(makers.forecast(order=order, machines=machines), "x")
    assert "script" not in read(page).tags
    assert b"&lt;script&gt;" in page


def test_a_name_neither_steers_a_terminal_nor_turns_what_follows():
    order = makers.order().assign(name="\x1b[31m\u202eabc\u2066\x7f")
    page = page_html(makers.forecast(order=order), "x").decode()
    assert "abc" in page
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", page)


def test_the_same_forecast_gives_the_same_bytes(made: bytes):
    assert page_html(makers.forecast(), "0123456789ab") == made


def test_the_page_says_what_it_said(made: bytes, golden):
    body = re.sub(rb"<style>.*?</style>|<svg.*?</svg>", b"", made, flags=re.DOTALL)
    words = [" ".join(each.split()) for each in read(body).text]
    golden("report_page.txt", "\n".join(each for each in words if each) + "\n")


def test_every_caution_stands_on_the_page(made: bytes):
    text = " ".join(" ".join(read(made).text).split())
    for words in (
        "it does not replace looking at the part",
        "slip hazard",
        "park the machine level, take the key out",
        "disconnect the battery where the manual says so",
        "gloves and eye protection",
        "leave electrical work to qualified people",
    ):
        assert words in text


@pytest.mark.parametrize(
    "name", ["order", "floors", "edges", "cost site", "problems", "trust", "watch"]
)
def test_each_row_of_a_table_is_a_row_of_its_csv(name: str):
    forecast = makers.forecast()
    table = page_tables(forecast)[name]
    frame = report_frames(forecast)[table.file.removesuffix(".csv")]
    whole = [shown_cells(frame[field.name], field) for field in table.fields]
    rows = set(zip(*whole, strict=True))
    assert table.rows
    if name != "problems":  # there many rows of one finding are shortened
        assert set(table.rows) <= rows


def test_a_machine_worth_a_look_stands_out_with_its_likely_causes():
    rows = page_tables(makers.forecast())["machines"].rows
    assert [row[0] for row in rows] == ["M1"]
    assert "down pressure set too high" in rows[0][-1]


def test_a_site_asked_for_is_the_only_one_in_the_due_list():
    made = makers.forecast()
    only = makers.forecast(choices=replace(made.choices, site="Hall B"))
    assert {row[3] for _, table, _ in due_tables(due_groups(only)) for row in table.rows} == {
        "Hall B"
    }


def test_more_rows_than_a_page_holds_are_counted():
    floors = pd.concat([makers.floors()] * 200, ignore_index=True)
    table = page_tables(makers.forecast(floors=floors))["floors"]
    assert len(table.rows) == 300
    assert table.left_out == 300


def test_the_list_to_work_off_may_be_longer_than_the_others():
    due = pd.concat([makers.due().iloc[:1]] * 900, ignore_index=True)
    assert (
        sum(len(table.rows) for _, table, _ in due_tables(due_groups(makers.forecast(due=due))))
        == 900
    )


def test_a_text_that_nobody_filled_in_takes_no_room():
    order = makers.order().assign(supplier="")
    table = page_tables(makers.forecast(order=order))["order"]
    assert "supplier" not in [field.name for field in table.fields]
    assert "part" in [field.name for field in table.fields]


def test_an_empty_forecast_still_makes_a_page():
    made = makers.forecast()
    empty = {
        name: getattr(made, name).iloc[:0]
        for name in ("order", "due", "machines", "edges", "floors")
    }
    page = page_html(makers.forecast(**empty, told=()), "x")
    assert b"Nothing to order" in page
    assert b"Nothing is due" in page


def test_it_is_told_how_well_so_many_draws_know_a_figure():
    forecast = makers.forecast()
    forecast.choices = replace(forecast.choices, draws=1000)
    (told,) = [words for what, _, words in assumptions(forecast) if what == "Futures"]
    # sqrt(.95 x .05 / 1000), sqrt(.9 x .1 / 1000), and 2 x 1.2816 sd over sd / sqrt(1000).
    assert "95 % figure to 0.7 points, that behind an end of 8 in 10 to 0.9" in told
    assert "1/81 of the width" in told
