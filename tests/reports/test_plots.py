"""The page's drawings on an axes of the reader's own."""

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib import pyplot as plt
from matplotlib.axes import Axes

import wearcast
from tests import fleets
from wearcast.errors import UnknownChoice


@pytest.fixture(scope="module")
def outlook(tmp_path_factory: pytest.TempPathFactory) -> wearcast.Forecast:
    fleet = fleets.make_fleet(3, machines=6, sites=2, history=80)
    folder = fleets.write_log(fleet, tmp_path_factory.mktemp("log"))
    parts = wearcast.read_logbook(folder).parts["part"]
    counted = [f"{part},{depot},9\n" for part in parts for depot in ("east", "west")]
    (folder / "stock.csv").write_text("part,depot,on_hand\n" + "".join(counted), encoding="utf-8")
    return wearcast.forecast(wearcast.read_logbook(folder), draws=50)


@pytest.fixture
def ax():
    mpl.use("agg")
    yield plt.figure().add_subplot()
    plt.close("all")


def words_down(axes: Axes) -> list[str]:
    return [each.get_text() for each in axes.get_yticklabels()]


def test_a_plot_of_wear_has_a_row_a_class_and_floor(outlook: wearcast.Forecast, ax: Axes):
    name = outlook.wear.classes[0]
    assert wearcast.plot_wear(outlook, name, ax=ax) is ax
    rows = outlook.wear.floor_table.query("wears_as == @name")
    assert words_down(ax) == [f"{name}, {floor}" for floor in rows["floor"]]


def test_a_plot_of_cost_has_bars_as_long_as_the_cost(outlook: wearcast.Forecast, ax: Axes):
    wearcast.plot_cost(outlook, "part", ax=ax)
    rows = outlook.cost.query("level == 'part' and kind == 'all'")
    bars = [each.get_width() for each in ax.patches]
    assert bars == sorted(rows["mean"], reverse=True)


def test_a_plot_of_stock_begins_with_what_is_on_the_shelf(outlook: wearcast.Forecast, ax: Axes):
    line = outlook.order.iloc[0]  # nothing is moved away from a shelf that must be ordered for
    wearcast.plot_stock(outlook, line["part"], line["depot"], ax=ax)
    assert ax.get_title(loc="left") == f"{line['part']}, {line['depot']}"
    assert ax.lines[0].get_ydata()[0] == pytest.approx(line["on_hand"])


def test_without_a_name_the_shelf_to_order_for_soonest_is_drawn(
    outlook: wearcast.Forecast, ax: Axes
):
    wearcast.plot_stock(outlook, ax=ax)
    soonest = outlook.order["order_by"].min()
    first = outlook.order[outlook.order["order_by"].eq(soonest)]
    assert ax.get_title(loc="left") in set(first["part"] + ", " + first["depot"])


def test_without_an_axes_a_figure_of_its_own_is_made(outlook: wearcast.Forecast, ax: Axes):
    made = wearcast.plot_wear(outlook)
    assert made.figure is not ax.figure


def test_the_look_stays_in_the_drawing(outlook: wearcast.Forecast, ax: Axes):
    before = mpl.rcParams.copy()
    wearcast.plot_cost(outlook, ax=ax)
    assert mpl.rcParams == before


@pytest.mark.parametrize(
    ("draw", "words"),
    [
        (lambda it: wearcast.plot_wear(it, "gum"), '"gum": no such wear class.'),
        (lambda it: wearcast.plot_cost(it, "sites"), '"sites": no such split of the cost. Did you'),
        (lambda it: wearcast.plot_stock(it, "none"), '"none": no such shelf of the order.'),
    ],
)
def test_a_name_that_is_none_is_refused(outlook: wearcast.Forecast, draw, words: str):
    with pytest.raises(UnknownChoice) as refused:
        draw(outlook)
    assert str(refused.value).startswith(words)


def test_pages_and_plots_share_the_drawing(outlook: wearcast.Forecast, ax: Axes):
    from wearcast.reports.page.charts import dearest

    wearcast.plot_cost(outlook, "floor", ax=ax)
    assert np.allclose(
        [each.get_width() for each in ax.patches], dearest(outlook.cost, "floor")["mean"]
    )
