"""The workbook on paper, as LibreOffice prints it: nothing missing, nothing too small to read."""

import re
import subprocess
from pathlib import Path

import pandas as pd
import pytest

from tests.reports import makers
from tests.reports.workbook.office import converted, needs_office, needs_poppler
from wearcast.reports.fields import OUTPUTS
from wearcast.reports.workbook.looks import TYPE
from wearcast.reports.workbook.order_book import order_workbook
from wearcast.reports.workbook.order_sheet import COLUMNS as ORDER_COLUMNS
from wearcast.reports.workbook.sheets import SMALLEST_TYPE, page_share, table_widths
from wearcast.reports.workbook.site_sheet import BY_SITE
from wearcast.reports.workbook.supplier_sheet import SUPPLIER_COLUMNS

pytestmark = [needs_office, needs_poppler]
NAME = "Brush for rough floors, 430 mm, medium hard, with a name that goes on and on"
WHY = " ".join(["Until 10 April 2027 about 43 pieces will be used, and so on and on;"] * 6)


@pytest.fixture(scope="module")
def pdf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    order = makers.order().assign(name=NAME, why=WHY)
    content = order_workbook(makers.forecast(order=order), "x")
    return converted(content, "pdf", tmp_path_factory.mktemp("printed"))


def printed(pdf: Path, *pages: str) -> str:
    """Everything that the pages show, in the order of the cells, blanks and line ends as one."""
    command = ["pdftotext", "-raw", *pages, str(pdf), "-"]
    text = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    return " ".join(text.split())


def printed_pages(pdf: Path) -> list[str]:
    """What each page shows."""
    command = ["pdftotext", "-raw", str(pdf), "-"]
    text = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    return [" ".join(page.split()) for page in text.split("\f")]


def test_the_printed_pages_hold_every_heading_and_every_word(pdf: Path):
    text = printed(pdf)
    assert "#" not in text
    assert "Err:" not in text
    for field in (*ORDER_COLUMNS[:-1], *SUPPLIER_COLUMNS, *BY_SITE):
        assert field.heading in text
    # Three lines to order, one to watch, one late; the names also on the suppliers' sheets.
    assert text.count(WHY) == 5
    assert text.count(NAME) >= 7
    assert "Send these first: the order counts on them. Then correct the stock of both" in text


def test_no_text_on_paper_is_smaller_than_8_point(pdf: Path):
    zoom = 3
    command = ["pdftohtml", "-xml", "-zoom", str(zoom), "-i", "-stdout", str(pdf)]
    layout = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    sizes = [int(size) / zoom for size in re.findall(r'<fontspec [^>]*size="(\d+)"', layout)]
    assert min(sizes) >= 8


def test_what_is_approved_is_one_page_and_comes_first(pdf: Path):
    assert "to approve" in printed(pdf, "-l", "1")
    assert "Approved by" in printed(pdf, "-l", "1")


def test_a_suppliers_page_bears_no_foot_of_ours(pdf: Path):
    sent = [page for page in printed_pages(pdf) if "please confirm prices" in page]
    assert len(sent) == 3
    assert not [page for page in sent if "wearcast" in page]


def test_what_is_wrong_and_what_to_do_about_it_stand_on_one_page():
    columns = OUTPUTS["problems"]
    long = {"file": 26, "row": 48, "what": 120, "fix": 90}
    problem = {each.name: "x" * long.get(each.name, 8) for each in columns}
    widths = table_widths(columns, pd.DataFrame([problem]))
    assert page_share(widths) >= SMALLEST_TYPE / TYPE
