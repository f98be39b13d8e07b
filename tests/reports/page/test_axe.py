"""The page in a browser: accessible at every width, nothing loaded, nothing complained of.

The checks are those of axe-core (rules of WCAG 2 and good practice) as its Python package has it.
"""

import html
import json
import re
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from tests.reports import makers
from tests.reports.page.browser import asked, needs_browser
from wearcast.reports.page.report_page import page_html

PAGE = Path(__file__).parents[3] / "reports" / "report.html"
ASK = """<script>
addEventListener("load", async () => {
  const open = location.search == "?open";
  for (const each of document.querySelectorAll("details")) each.open = open;
  if (open) location.hash = "cost";
  const found = await axe.run(document, {resultTypes: ["violations"]});
  const wide = document.documentElement;
  parent.postMessage(JSON.stringify({
    frame: innerWidth + location.search,
    violations: found.violations.map(each => each.id + ": " + each.nodes[0].html.slice(0, 200)),
    passes: found.passes.length,
    over: wide.scrollWidth - wide.clientWidth,
    loaded: performance.getEntriesByType("resource").map(each => each.name),
  }), "*");
});
</script></body>"""
FRAMES = """<!doctype html><title>frames</title><ul id="told"></ul><script>
addEventListener("message", sent => {
  const line = told.appendChild(document.createElement("li"));
  line.textContent = sent.data;
});</script>"""
FRAME = '<iframe src="inner.html{}" style="border:0;width:{}px;height:1500px"></iframe>'
ALL = tuple((width, state) for width in (1280, 390, 320) for state in ("", "?open"))
SOME = ((1280, "?open"), (390, ""), (320, "?open"))


def judged(
    folder: Path, page: str, frames: Sequence[tuple[int, str]]
) -> tuple[list[dict[str, Any]], str]:
    """What axe finds on the page in each frame (width, folded or not), and the browser's log."""
    axe = (files("axe_core_python") / "axe.min.js").read_text(encoding="utf-8")
    # The page's own policy forbids what is not its own: these checks, too.
    page = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", page)
    inner = page.replace("</body>", f"<script>{axe}</script>{ASK}")
    (folder / "inner.html").write_text(inner, encoding="utf-8")
    outer = FRAMES + "".join(FRAME.format(state, width) for width, state in frames)
    (folder / "outer.html").write_text(outer, encoding="utf-8")
    options = ["--window-size=1300,1500", "--virtual-time-budget=60000", "--enable-logging=stderr"]
    done = asked(folder / "outer.html", *options, "--dump-dom")
    told = re.findall(r"<li>(.*?)</li>", done.stdout)
    return [json.loads(html.unescape(each)) for each in told], done.stderr


@needs_browser
@pytest.mark.parametrize("whose", ["sample", "made up"])
def test_axe_finds_nothing(tmp_path: Path, whose: str):
    real = whose == "sample"
    page = PAGE.read_text(encoding="utf-8") if real else page_html(makers.forecast(), "x").decode()
    frames = SOME if real else ALL
    found, log = judged(tmp_path, page, frames)
    assert sorted(each["frame"] for each in found) == sorted(f"{w}{state}" for w, state in frames)
    for each in found:
        assert each["violations"] == [], each["frame"]
        assert each["passes"] > 15
        assert each["over"] <= 0, each["frame"]
        assert each["loaded"] == []
    assert "CONSOLE" not in log


@needs_browser
def test_axe_would_find_a_fault(tmp_path: Path):
    page = (
        '<!doctype html><html lang="en"><title>t</title><body><main><h1>t</h1><img></main></body>'
    )
    found, _ = judged(tmp_path, page, SOME)
    assert all("image-alt" in str(each["violations"]) for each in found)
