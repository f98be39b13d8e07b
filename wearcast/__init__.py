"""Forecast how fast floor scrubbers wear out blades, brushes and pads.

    import wearcast

    book = wearcast.read_logbook("logbook.xlsx")       # or Logbook.from_frames(readings=..., ...)
    fitted = wearcast.fit(book)                        # print(fitted.summary())
    outlook = wearcast.forecast(fitted, quarter="2027Q1")
    outlook.order, outlook.due, outlook.cost           # pandas frames

Each step takes what the one before returned, or the logbook. `order`, `annual_cost`, `quote`,
`rates` and `backtest` answer one question each; `plot_wear`, `plot_stock` and `plot_cost` draw
onto a matplotlib axes; `write_report` writes what the command does. ``help(wearcast.fit)`` says
more of each, ``help(wearcast.Asked)`` lists the options.

The names load when they are first asked for, so that importing the package computes nothing.
"""

import os
import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wearcast.backtesting.backtest import Backtest, backtest
    from wearcast.decisions.quotes import QuoteResult
    from wearcast.forecast import Fit, Forecast, annual_cost, fit, forecast, order
    from wearcast.logbook.book import Logbook, read_logbook
    from wearcast.logbook.choices import Asked
    from wearcast.quote import quote, rates
    from wearcast.reports.parcel import write_report
    from wearcast.reports.plots import plot_cost, plot_stock, plot_wear

# The matrices here are small: threads of the linear algebra library wait for each other more than
# they work (three times the time on two cores, and minutes where two processes share them). It
# reads this when numpy is first imported; whoever has set it keeps their setting.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
__all__ = [
    "Asked",
    "Backtest",
    "Fit",
    "Forecast",
    "Logbook",
    "QuoteResult",
    "__version__",
    "annual_cost",
    "backtest",
    "fit",
    "forecast",
    "order",
    "plot_cost",
    "plot_stock",
    "plot_wear",
    "quote",
    "rates",
    "read_logbook",
    "write_report",
]
_HOMES = {
    "backtesting.backtest": ("Backtest", "backtest"),
    "decisions.quotes": ("QuoteResult",),
    "forecast": ("Fit", "Forecast", "annual_cost", "fit", "forecast", "order"),
    "logbook.book": ("Logbook", "read_logbook"),
    "logbook.choices": ("Asked",),
    "quote": ("quote", "rates"),
    "reports.parcel": ("write_report",),
    "reports.plots": ("plot_cost", "plot_stock", "plot_wear"),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}
_EARLIER = {"plan_order": "order"}
"""Names that were, and what they are now."""


def __getattr__(name: str) -> object:
    """Load a public name from its room the first time it is asked for."""
    name = _EARLIER.get(name, name)
    if name in _HOME_OF:
        return getattr(import_module(f"wearcast.{_HOME_OF[name]}"), name)
    raise AttributeError(f"module 'wearcast' has no attribute {name!r}")


def __dir__() -> list[str]:
    """The public names, loaded or not."""
    return sorted({*globals(), *__all__})


class _Package(ModuleType):
    """Keeps the public function where a room of the same name is imported.

    Importing ``wearcast.forecast`` would bind the module over ``wearcast.forecast()``.
    """

    def __setattr__(self, name: str, value: object) -> None:
        if not (name in _HOME_OF and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package
