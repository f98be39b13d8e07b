"""What each world asks beside the use of the year: one function a question."""

import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pandas as pd
from scipy import optimize
from scipy.special import gamma

import wearcast
from tests.studies.worlds import cases, written
from tests.studies.worlds.cases import Case
from tests.studies.worlds.catalogue import FLOORS, life_on
from tests.studies.worlds.fleet import Fleet, stranger_sites
from tests.studies.worlds.truth import expected_in_log, true_costs
from tests.studies.worlds.written import Lived
from wearcast.forecast import Forecast
from wearcast.logbook.book import Logbook

Rows = Iterator[tuple[str, float, float]]


def of_world(case: Case) -> Rows:
    """The rows that this case's world asks for."""
    for question in QUESTIONS.get(case.name, ()):
        yield from question(case)
    if case.lived.fleet.world.stranger:
        yield from strangers_quote(case)


def as_if_worn(case: Case) -> Rows:
    """The same log with every end written as worn: the year should be the same."""
    other = wearcast.forecast(cases.read(case.lived, worn="worn"), draws=case.draws)
    for kind in ("blade", "pad", "brush"):
        pair = [_year(said, case, kind) for said in (case.said, other)]
        yield f"mean over that of the log with worn, year, {kind}", pair[0], pair[1]


def _year(said: Forecast, case: Case, kind: str) -> float:
    parts = [name for name, part in case.lived.fleet.parts.items() if part.kind == kind]
    rows = said.forecast.query("level == 'fleet' and period == 'year'")
    return float(rows.loc[rows["part"].isin(parts), "mean"].sum())


def due_says_turn(case: Case) -> Rows:
    """Where a blade's edge is not its last, what comes next is a turn."""
    due = case.said.due
    early = due[due["position"].str.contains("blade") & (due["edge"] < due["edges"])]
    yield (
        "blades with an edge left that are due a turn",
        early["next_action"].eq("turn").sum(),
        len(early),
    )


def odd_site(case: Case) -> Rows:
    """The first site apart from the others: year's mean and cover, parts of some use."""
    said = case.said.forecast.set_index(["level", "where", "part", "period"])
    for level, where, part, mine in cases.groups(case.lived):
        if level != "site":
            continue
        true = case.truth.pieces["year"][:, mine].sum(axis=1)
        row = said.loc[(level, where, part, "year")]
        which = "the one site" if where == case.lived.fleet.sites[0] else "the others"
        yield f"mean over truth, year, {which}", row["mean"], true.mean()
        if true.mean() >= cases.MANY:
            yield f"cover, site, year, {which}", cases.inside(true, row["p05"], row["p95"]), 1.0


def what_lives_rest_on(case: Case) -> Rows:
    """Whether lives that nobody saw to their end are called measured, and whether bounds hold."""
    for row in case.said.floors.itertuples():
        true = cases.true_life(case.lived, row.wears_as, row.floor)
        yield "lives called measured", float(row.basis == "measured"), 1.0
        yield "lives given bounds", float(row.basis == "bounds"), 1.0
        yield "lives within low and high", float(row.low <= true <= row.high), 1.0


def blades_of_sites(case: Case) -> Rows:
    """The blades' year by site: its cover, and its mean by the site that uses more or fewer."""
    said = case.said.forecast.set_index(["level", "where", "part", "period"])
    for level, where, part, mine in cases.groups(case.lived):
        if level == "site" and case.lived.fleet.parts[part].kind == "blade":
            true = case.truth.pieces["year"][:, mine].sum(axis=1)
            row = said.loc[(level, where, part, "year")]
            if true.mean() >= cases.MANY / 2:
                yield "cover, site, year, blades", cases.inside(true, row["p05"], row["p95"]), 1.0


def paces(case: Case) -> Rows:
    """A machine's pace by class: squared error of its log over the truth's, and its cover."""
    fleet = case.lived.fleet
    places = fleet.places.assign(name=fleet.machines["machine"].to_numpy()[fleet.places["machine"]])
    usual = np.array([1 / life_on(fleet.parts[part], FLOORS[0]) for part in places["part"]])
    places = places.assign(true=np.log(fleet.wear[:, 0] / usual))
    true = places.drop_duplicates(["name", "wears_as"]).set_index(["name", "wears_as"])["true"]
    said = case.said.machines.set_index(["machine", "wears_as"]).join(
        true.rename_axis(["machine", "wears_as"])
    )
    off, far = np.log(said["pace"]) - said["true"], said["true"]
    held = (np.log(said["low"]) <= far) & (far <= np.log(said["high"]))
    for name, rows in said.assign(off=off**2, far=far**2, held=held).groupby("wears_as"):
        yield f"unknown share of the machines' pace, {name}", rows["off"].sum(), rows["far"].sum()
        yield f"cover, pace, {name}", rows["held"].sum(), len(rows)


def without_a_line(case: Case) -> Rows:
    """The year of the machines' parts of which the log has no line at all."""
    fleet, ends = case.lived.fleet, case.lived.ends
    quiet = ~np.isin(np.arange(len(fleet.places)), ends.place)
    true = case.truth.pieces["year"].mean(axis=0)
    said = case.said.forecast.query("level == 'machine' and period == 'year'")
    said = said.set_index(["where", "part"])["mean"]
    for place in np.flatnonzero(quiet):
        row = fleet.places.iloc[place]
        machine = fleet.machines["machine"][row["machine"]]
        mean = float(said.get((machine, row["part"]), 0.0))
        yield "mean over truth, year, positions without a line", mean, true[place]


def newcomers(case: Case) -> Rows:
    """The first quarter and year of machines that start at as-of."""
    fleet = case.lived.fleet
    new = fleet.machines["planned"].to_numpy()[fleet.column("machine")]
    said = case.said.forecast.query("level == 'machine' and part != 'all'")
    said = said[said["where"].isin(fleet.machines.loc[fleet.machines["planned"], "machine"])]
    for period, pieces in case.truth.pieces.items():
        mean = said.loc[said["period"] == period, "mean"].sum()
        yield f"mean over truth, {period}, newcomers", mean, pieces[:, new].sum() / len(pieces)


def without_luck(case: Case) -> Rows:
    """The year's mean over truth, less the luck of the log's own number of pieces."""
    fleet = case.lived.fleet
    expected, truth = expected_in_log(case.lived), case.truth.pieces["year"].mean(axis=0)
    fitted = case.lived.ends.place[case.lived.ends.fitted]
    logged = np.bincount(fitted, minlength=len(fleet.places)) * fleet.column("pieces")
    for kind in ("blade", "pad", "brush"):
        mine = fleet.column("kind") == kind
        fair = expected[mine].sum() / logged[mine].sum()
        yield (
            f"mean over truth less luck, year, {kind}",
            _year(case.said, case, kind) * fair,
            truth[mine].sum(),
        )


def other_words(case: Case) -> Rows:
    """The same log with ``worn`` in place of the other word; and whether the word is told."""
    word = case.lived.fleet.world.worn_words[case.lived.fleet.seed % 4]
    other = wearcast.forecast(cases.read(case.lived, worn="worn"), draws=case.draws)
    keys = ["wears_as", "floor"]
    pair = case.said.floors.merge(other.floors, on=keys, suffixes=("", " worn"))
    for said, plain in zip(pair["hours_per_edge"], pair["hours_per_edge worn"], strict=True):
        yield f"hours_per_edge over that with worn, {word!r}", said / plain, 1.0
    yield (
        f"year's mean over that with worn, {word!r}",
        sum(_year(case.said, case, kind) for kind in ("blade", "pad", "brush")),
        sum(_year(other, case, kind) for kind in ("blade", "pad", "brush")),
    )
    told = any(word in problem.value for problem in case.said.told)
    aside = any(problem.severity == "set aside" for problem in case.said.told)
    yield f"fleets where {word!r} is told", float(told), 1.0
    yield f"fleets where rows are set aside, {word!r}", float(aside), 1.0


def strangers_quote(case: Case, sites: int = 60) -> Rows:
    """A quote for a site that nobody has measured: how often its cost stays below P80 and P90."""
    strangers = stranger_sites(case.lived.fleet, sites)
    proposal = _proposal(strangers)
    priced = wearcast.quote(proposal, case.said, years=1, risk=0.8, draws=case.draws).frame.iloc[0]
    costs = true_costs(strangers)
    yield "quote: cost <= P80", (costs <= priced["p80"]).mean(), 1.0
    yield "quote: cost <= P90", (costs <= priced["p90"]).mean(), 1.0
    yield "quote: mean over truth", priced["mean"], costs.mean()
    spread = np.ptp(np.quantile(costs, [0.1, 0.9]))
    yield "quote: P10 to P90 over the truth's", priced["p90"] - priced["p10"], spread


def _proposal(strangers: Fleet) -> Logbook:
    """The first of the strangers as a proposal: machines, floors, positions and planned hours."""
    first = strangers.machines["site"] == strangers.sites[0]
    names = set(strangers.machines.loc[first, "machine"])
    tables = {
        "machines": strangers.machines.loc[first, ["machine", "site"]],
        "floors": written.floors_of(strangers).iloc[: _rows_of(strangers, int(first.sum()))],
        "positions": written.positions_of(strangers).iloc[: 3 * len(names)],
        "parts": written.catalogue_of(strangers),
        "plans": pd.DataFrame(
            {
                "machine": strangers.machines.loc[first, "machine"],
                "start": f"{strangers.as_of + pd.Timedelta(days=1):%Y-%m-%d}",
                "hours_per_week": strangers.machines.loc[first, "hours"],
            }
        ),
    }
    with tempfile.TemporaryDirectory() as folder:
        for name, table in tables.items():
            table.to_csv(Path(folder) / f"{name}.csv", index=False)
        return wearcast.read_logbook(folder, proposal=True)


def _rows_of(strangers: Fleet, machines: int) -> int:
    return int((strangers.shares[0, :machines] > 0).sum())


def plain_likelihood(case: Case) -> Rows:
    """`data only` against the maximum of the Weibull likelihood of the very spells.

    One floor, no pace, every machine new when its log begins: what is running is censored at the
    meter's last reading. The difference of the log life is given by class, worst first.
    """
    book = cases.read(case.lived)
    book.settings.update({"fit": "data only", "pace": "off"})
    said = wearcast.forecast(book, draws=case.draws).floors.set_index("wears_as")["hours_per_edge"]
    for name, hours, worn in true_spells(case.lived):
        if worn.sum() >= 2:
            gap = abs(np.log(said[name] / weibull_mean(hours, worn)))
            yield f"data only: |log life| off the maximum of likelihood, {name}", gap, 1.0


def true_spells(lived: Lived) -> Iterator[tuple[str, np.ndarray, np.ndarray]]:
    """Each class's edges: hours run, and whether they wore out."""
    fleet, ends = lived.fleet, lived.ends
    machine = fleet.column("machine")
    meter = np.round(ends.meter, 1)
    names = fleet.column("wears_as")
    for name in sorted(set(names)):
        hours, worn = [], []
        for place in np.flatnonzero(names == name):
            mine = np.flatnonzero(ends.place == place)
            start = float(np.round(lived.begin.meter[0, machine[place]], 1))
            stop = float(np.round(lived.meters[-1, machine[place]], 1))
            marks = np.array([start, *meter[mine], stop])
            hours += list(np.diff(marks))
            worn += [*(ends.cause[mine] == 0), False]
        yield name, np.array(hours), np.array(worn)


def weibull_mean(hours: np.ndarray, worn: np.ndarray) -> float:
    """Mean life at the maximum of the censored Weibull likelihood.

    Kalbfleisch & Prentice, The Statistical Analysis of Failure Time Data, 2nd ed. (2002), 3.3.
    """
    kept = hours[hours > 0], worn[hours > 0]

    def profile(log_shape: float) -> float:
        shape = np.exp(log_shape)
        scale = (kept[0] ** shape).sum() / kept[1].sum()
        ended = np.log(kept[0][kept[1]])
        return -(kept[1].sum() * (np.log(shape) - np.log(scale) - 1) + (shape - 1) * ended.sum())

    best = optimize.minimize_scalar(
        profile, bounds=(-2, 3), method="bounded", options={"xatol": 1e-9}
    )
    shape = np.exp(best.x)
    scale = ((kept[0] ** shape).sum() / kept[1].sum()) ** (1 / shape)
    return float(scale * gamma(1 + 1 / shape))


QUESTIONS: dict[str, tuple[Callable[[Case], Rows], ...]] = {
    "every-60-hours": (as_if_worn, due_says_turn),
    "blades-together": (as_if_worn,),
    "site-at-60-percent": (odd_site,),
    "at-85-percent": (what_lives_rest_on,),
    "three-edges": (blades_of_sites,),
    "site-damage-80": (blades_of_sites,),
    "fast-machines": (paces,),
    "low-hours": (without_a_line,),
    "long-lived": (without_luck,),
    "thin-log": (plain_likelihood,),
    "five-newcomers": (newcomers,),
    "other-words": (other_words,),
}
