"""The public names: what ``import wearcast`` offers, to a person, to a program and to mypy."""

import dataclasses
import pydoc
import re
import subprocess
import sys
import typing
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import wearcast
from tests import fleets
from wearcast.errors import UnknownChoice

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def outlook(tmp_path_factory: pytest.TempPathFactory) -> wearcast.Forecast:
    fleet = fleets.make_fleet(3, machines=4, sites=2, history=60)
    book = wearcast.read_logbook(fleets.write_log(fleet, tmp_path_factory.mktemp("log")))
    return wearcast.forecast(book, draws=20)


@pytest.mark.parametrize(
    "before",
    [
        pytest.param("", id="nothing imported before"),
        pytest.param("import wearcast.forecast, wearcast.quote", id="modules imported before"),
        pytest.param("from wearcast.forecast import fit", id="a name imported before"),
    ],
)
def test_public_names_can_be_called(before: str):
    check = "assert all(callable(getattr(wearcast, name)) for name in wearcast.__all__[:-1])"
    code = f"import wearcast; {before}\nwearcast.__all__.remove('__version__')\n{check}"
    subprocess.run([sys.executable, "-c", code], check=True, timeout=120)


def test_nothing_is_loaded_before_it_is_asked_for():
    code = "import sys, wearcast; dir(wearcast); sys.exit('pandas' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], timeout=60).returncode == 0


def test_a_run_does_not_load_what_it_hardly_uses():
    """Half a second a process: statsmodels and scipy.stats come when a fit's results are asked."""
    code = (
        "import sys, wearcast.reports.parcel, wearcast.reports.page.report_page, wearcast.forecast,"
        "wearcast.backtesting.backtest;"
        "sys.exit(bool({'statsmodels', 'scipy.stats'} & {*sys.modules}))"
    )
    assert subprocess.run([sys.executable, "-c", code], timeout=60).returncode == 0


def test_dir_shows_every_public_name():
    assert set(wearcast.__all__) <= set(dir(wearcast))


def test_every_public_name_has_a_home_and_only_those():
    assert set(wearcast._HOME_OF) == set(wearcast.__all__) - {"__version__"}


def test_an_unknown_name_is_told_as_any_module_would():
    with pytest.raises(AttributeError, match="module 'wearcast' has no attribute 'nonsense'"):
        wearcast.nonsense  # type: ignore[attr-defined]  # noqa: B018 - the access is the test


def test_the_name_that_order_had_still_gives_it():
    assert wearcast.plan_order is wearcast.order  # type: ignore[attr-defined]


def types_of(tmp_path: Path, text: str) -> str:
    """What mypy --strict says of a stranger's script."""
    (tmp_path / "script.py").write_text(text, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--follow-imports=silent", "--cache-dir",
         str(ROOT / ".mypy_cache" / "stranger"), "--config-file", "", "script.py"],
        cwd=tmp_path, env={"MYPYPATH": str(ROOT), "PATH": ""}, capture_output=True, text=True,
    )  # fmt: skip
    return done.stdout + done.stderr


THE_REST = """
import json

import pandas as pd

hours = pd.DataFrame({"machine": ["M1"], "date": ["2026-01-05"], "hours": [100.0]})
small: wearcast.Logbook = wearcast.Logbook.from_frames(readings=hours, changes=hours)
text: str = str(fitted.summary()) + repr(outlook)
looked: wearcast.Backtest = wearcast.backtest(book, 2)
tidy: pd.DataFrame = looked.frame
saved: str = json.dumps(wearcast.rates(fitted, with_prices=True))
wearcast.plot_wear(fitted).set_title("wear")
wearcast.plot_stock(outlook)
wearcast.plot_cost(outlook, "floor")
files: tuple[str, ...] = wearcast.write_report(outlook, "out", backtest=looked).files
asked: wearcast.Asked = {"seed": 2, "weeks": 8}
again: wearcast.Forecast = wearcast.forecast(book, **asked)
""".splitlines()
"""What else README names, as a script may use it."""


def test_the_example_in_readme_has_its_types(tmp_path: Path):
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    code = re.findall(r"^(?:>>>|\.\.\.) ?(.*)$", readme, re.M)
    assert any("wearcast.fit" in line for line in code)
    assert types_of(tmp_path, "\n".join([*code, *THE_REST]) + "\n").startswith("Success")


def test_an_option_that_does_not_exist_is_found_by_mypy(tmp_path: Path):
    code = 'import wearcast\nwearcast.fit(wearcast.read_logbook("x"), servce_level=0.9)\n'
    assert "Unexpected keyword argument" in types_of(tmp_path, code)


@pytest.mark.parametrize(
    ("ask", "error", "words"),
    [
        (lambda _: wearcast.fit("log.xlsx"), TypeError, "wearcast.read_logbook"),
        (lambda one: wearcast.order(one.book.readings), TypeError, "a fit or a forecast, not a Da"),
        (lambda one: wearcast.annual_cost(one, site="nowhere"), UnknownChoice, "no such site"),
        (lambda one: wearcast.quote(one.book, one, years=0), UnknownChoice, "years must be a numb"),
        (lambda _: wearcast.Logbook.from_frames(readings={}), TypeError, "a pandas DataFrame"),
    ],
)
def test_what_means_nothing_is_refused_in_words(outlook: wearcast.Forecast, ask, error, words):
    with pytest.raises(error, match=words):
        ask(outlook)


def test_a_forecast_can_be_asked_anew(outlook: wearcast.Forecast):
    again = wearcast.forecast(outlook, service_level=0.9)
    assert (again.choices.service_level, again.choices.draws) == (0.9, 20)


def test_help_lists_every_option_with_its_meaning():
    told = pydoc.plain(pydoc.render_doc(wearcast.Asked))
    assert "fit: " in told
    assert "(blended / data only)" in told
    assert not [name for name in wearcast.Asked.__annotations__ if f" {name}: " not in told]


def records_in(one: type) -> set[type]:
    """A record and all records that it holds."""
    held = [each for hint in typing.get_type_hints(one).values() for each in flat(hint)]
    inner = [each for each in held if dataclasses.is_dataclass(each)]
    return {one}.union(*(records_in(each) for each in inner))


def flat(hint: object) -> list[type]:
    inside = [each for part in typing.get_args(hint) for each in flat(part)]
    return [*inside, hint] if isinstance(hint, type) else inside


RESULTS = set().union(
    *map(records_in, [wearcast.Fit, wearcast.Forecast, wearcast.Backtest, wearcast.QuoteResult])
)


@pytest.mark.parametrize("record", sorted(RESULTS, key=lambda one: one.__name__))
def test_records_with_frames_are_compared_as_things(record: type):
    held = {each for hint in typing.get_type_hints(record).values() for each in flat(hint)}
    if held & {pd.DataFrame, np.ndarray}:
        assert record.__eq__ is object.__eq__, "a frame has no truth value, == would raise"


@pytest.mark.parametrize("name", [None, "book", "history", "wear", "draws"])
def test_what_a_result_shows_of_itself_fits_on_two_lines(outlook: wearcast.Forecast, name: str):
    shown = repr(outlook if name is None else getattr(outlook, name))
    assert len(shown) < 200
    assert shown.startswith("<")
