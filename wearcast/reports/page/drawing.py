"""How a chart becomes inline SVG: one look, text kept as text, the same bytes each time.

The colours are the palette of Okabe and Ito, which people with any common colour blindness tell
apart; form and place always say the same as colour.
"""

import io
import re
import warnings
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from html import escape
from typing import Any

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

INK, PALE, GRID = "#22313A", "#8A979E", "#DDE4E8"
BLUE, ORANGE, GREEN, RED, SKY = (
    "#0072B2", "#E69F00", "#009E73", "#D55E00", "#56B4E9",
)  # fmt: skip
THOUSANDS = FuncFormatter(lambda value, _: f"{value:,.0f}")
_WIDTH = 8.2  # inches; the page scales it to its column
_LONGEST = 26
STYLE: dict[Any, Any] = {
    "svg.fonttype": "none",
    "text.parse_math": False,  # a $ in a name is a $
    "font.family": "DejaVu Sans",
    "font.size": 9.5,
    "text.color": INK,
    "axes.labelcolor": INK,
    "axes.edgecolor": PALE,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.axisbelow": True,
    "xtick.color": INK,
    "ytick.color": INK,
    "grid.color": GRID,
    "grid.linewidth": 0.8,
    "legend.frameon": False,
}


@dataclass(frozen=True, slots=True)
class Margins:
    """Room around the axes, in inches. Fixed, as fitting it to the text takes half the time."""

    left: float = 0.75
    right: float = 0.2
    top: float = 0.15
    bottom: float = 0.5


def beside(labels: Iterable[str], longest: int = _LONGEST, top: float = 0.15) -> Margins:
    """The margins of a chart with a name beside each row."""
    most = max((len(short(each, longest)) for each in labels), default=0)
    return Margins(left=0.25 + 0.078 * most, top=top)


def draw(
    name: str, height: float, told: str, paint: Callable[[Figure], None], margins: Margins
) -> str:
    """A chart as an SVG element.

    Parameters
    ----------
    name : str
        Distinct on the page: the ids inside the drawing follow from it.
    height : float
        Inches, margins included.
    told : str
        What the chart shows, for those who cannot see it.
    paint : callable
        Draws onto the empty figure.
    margins : Margins
    """
    with mpl.rc_context({**STYLE, "svg.hashsalt": name}), warnings.catch_warnings():
        # The text stays text and the reader's browser has the letters that this font lacks.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        figure = Figure(figsize=(_WIDTH, height))
        FigureCanvasSVG(figure)
        figure.subplots_adjust(
            left=margins.left / _WIDTH,
            right=1 - margins.right / _WIDTH,
            top=1 - margins.top / height,
            bottom=margins.bottom / height,
        )
        paint(figure)
        out = io.StringIO()
        figure.savefig(out, format="svg", transparent=True, metadata={"Date": None})
    return _inline(out.getvalue(), told)


def _inline(svg: str, told: str) -> str:
    """The bare element: no prologue, no metadata, as wide as its place, named for everyone."""
    body = svg[svg.index("<svg") :].strip()
    body = re.sub(r"\s*<metadata>.*?</metadata>", "", body, flags=re.DOTALL)
    body = re.sub(r'<g id="[^"]*"', "<g", body)
    body = re.sub(r"'DejaVu Sans'(, [^;\"]*)?", "system-ui, sans-serif", body)
    head, rest = body.split(">", 1)
    head = re.sub(r'\s(?:width|height)="[^"]*pt"', "", head)
    label = escape(told, quote=True)
    return f'{head} role="img" aria-label="{label}"><title>{escape(told)}</title>{rest}'


def short(text: str, longest: int = _LONGEST) -> str:
    """A name that fits beside a chart, control characters shown as blanks."""
    plain = "".join(each if each.isprintable() else " " for each in text)
    return plain if len(plain) <= longest else f"{plain[: longest - 1]}…"


def rows_down(axes: Axes, labels: list[str], longest: int = _LONGEST) -> None:
    """One labelled row a name, the first on top, with lines across."""
    axes.set_yticks(range(len(labels)), [short(each, longest) for each in labels])
    axes.set_ylim(len(labels) - 0.4, -0.6)
    axes.tick_params(axis="y", length=0)
    axes.grid(axis="x")
    axes.spines["left"].set_visible(False)
