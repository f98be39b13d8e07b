"""The page in a browser: no column is cut where people read it."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.reports import makers
from wearcast.reports.page.report_page import page_html

BROWSER = shutil.which("chromium") or shutil.which("google-chrome")
MEASURE = """<script>
for (const each of document.querySelectorAll("details")) each.open = true;
const cut = [...document.querySelectorAll(".wide"), document.documentElement]
  .filter(each => each.scrollWidth > each.clientWidth)
  .map(each => each.closest("section")?.id ?? "page");
document.body.insertAdjacentHTML("beforeend", `<p id="cut">[${cut}]</p>`);
</script></body>"""


@pytest.mark.skipif(BROWSER is None, reason="no browser is installed")
@pytest.mark.parametrize("width", [1000, 1400])
def test_no_table_is_wider_than_the_window(tmp_path: Path, width: int):
    why = makers.order()["why"] + " and so on for as long as a reason may be" * 6
    order = makers.order().assign(why=why, name="front blade, natural gum rubber, tan")
    page = page_html(makers.forecast(order=order), "x").decode().replace("</body>", MEASURE)
    (tmp_path / "page.html").write_text(page, encoding="utf-8")
    command = [
        str(BROWSER), "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
        "--no-first-run", f"--user-data-dir={tmp_path / 'profile'}", f"--window-size={width},1500",
        "--dump-dom", (tmp_path / "page.html").as_uri(),
    ]  # fmt: skip
    shown = subprocess.run(command, capture_output=True, text=True, timeout=120).stdout
    # The script's own text comes first, what it wrote last.
    assert re.findall(r'id="cut">(.*?)<', shown)[-1] == "[]"
