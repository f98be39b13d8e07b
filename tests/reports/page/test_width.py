"""The page in a browser: no column is cut where people read it."""

import re
from pathlib import Path

import pytest

from tests.reports import makers
from tests.reports.page.browser import asked, needs_browser
from wearcast.reports.page.report_page import page_html

MEASURE = """<script>
for (const each of document.querySelectorAll("details")) each.open = true;
const cut = [...document.querySelectorAll(".wide"), document.documentElement]
  .filter(each => each.scrollWidth > each.clientWidth)
  .map(each => each.closest("section")?.id ?? "page");
document.body.insertAdjacentHTML("beforeend", `<p id="cut">[${cut}]</p>`);
</script></body>"""


SMALL = """<script>
const low = [...document.querySelectorAll("nav a, h2 a, .first a, .brief a")]
  .filter(each => each.getBoundingClientRect().height < 24).map(each => each.textContent);
const height = document.documentElement.scrollHeight;
location.hash = "due";
const table = document.querySelector("#due table").getBoundingClientRect().height;
document.body.insertAdjacentHTML("beforeend", `<p id="told">${height},${table > 0},[${low}]</p>`);
</script></body>"""
SCREEN = 844
"""Height of a phone's screen."""


def dumped(folder: Path, page: bytes, script: str, width: int) -> str:
    """What a browser makes of a page with a script behind it."""
    path = folder / "page.html"
    path.write_text(page.decode().replace("</body>", script), encoding="utf-8")
    return asked(path, f"--window-size={width},1500", "--dump-dom").stdout


@needs_browser
@pytest.mark.parametrize("width", [1000, 1400])
def test_no_table_is_wider_than_the_window(tmp_path: Path, width: int):
    why = makers.order()["why"] + " and so on for as long as a reason may be" * 6
    order = makers.order().assign(why=why, name="front blade, natural gum rubber, tan")
    shown = dumped(tmp_path, page_html(makers.forecast(order=order), "x"), MEASURE, width)
    # The script's own text comes first, what it wrote last.
    assert re.findall(r'id="cut">(.*?)<', shown)[-1] == "[]"


@needs_browser
def test_a_phone_shows_the_headings_and_opens_the_section_that_is_asked_for(tmp_path: Path):
    shown = dumped(tmp_path, page_html(makers.forecast(), "x"), SMALL, 500)
    height, opened, low = re.findall(r'id="told">(.*?)<', shown)[-1].split(",", 2)
    assert int(height) <= 3 * SCREEN
    assert (opened, low) == ("true", "[]")
