"""Several logs' names in one spelling: floors and wear classes that differ in case or blanks.

Two operators who write ``Vinyl`` and ``vinyl`` mean one floor; without this each would be known to
one log only, and how far the operators differ on it would go unseen.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

import pandas as pd

from wearcast.logbook.schema.spelling import fold
from wearcast.wear.covariates import effect_of
from wearcast.wear.records import Block, Wear


def first_spellings(names: Iterable[str]) -> dict[str, str]:
    """Each name as it was first spelled."""
    first: dict[str, str] = {}
    return {name: first.setdefault(fold(name), name) for name in names}


def respelled(wears: Sequence[Wear]) -> list[Wear]:
    """The same wear, every floor and class spelled as in the first log that has it.

    A log that itself tells two such names apart keeps both. Blocks keep their arrays (terms,).
    """
    floors = first_spellings(name for one in wears for name in one.floors)
    classes = first_spellings(name for one in wears for name in one.classes)
    return [
        _respell(one, _kept_apart(one.classes, classes), _kept_apart(one.floors, floors))
        for one in wears
    ]


def _kept_apart(own: Sequence[str], first: dict[str, str]) -> dict[str, str]:
    """Names of one log that change, none of which would fall together with another of it."""
    taken = [first[name] for name in own]
    return {
        name: new for name, new in zip(own, taken, strict=True)
        if new != name and taken.count(new) == 1 and new not in own
    }  # fmt: skip


def _respell(wear: Wear, classes: dict[str, str], floors: dict[str, str]) -> Wear:
    if not classes and not floors:
        return wear

    def named(name: str) -> str:
        return classes.get(name, name)

    def table(frame: pd.DataFrame) -> pd.DataFrame:
        maps = {"wears_as": classes, "floor": floors}
        held = {name: how for name, how in maps.items() if name in frame}
        return frame.assign(**{name: frame[name].replace(how) for name, how in held.items()})

    return replace(
        wear,
        classes=tuple(map(named, wear.classes)),
        floors=tuple(floors.get(name, name) for name in wear.floors),
        worn=_block(wear.worn, classes, floors),
        torn=_block(wear.torn, classes, floors),
        off=replace(wear.off, usual={named(name): each for name, each in wear.off.usual.items()}),
        habits={(named(name), law): each for (name, law), each in wear.habits.items()},
        place_effects={
            (named(name), machine, position): values
            for (name, machine, position), values in wear.place_effects.items()
        },
        paired={named(name): each for name, each in wear.paired.items()},
        floor_table=table(wear.floor_table),
        effect_table=table(wear.effect_table),
    )


def _block(block: Block, classes: dict[str, str], floors: dict[str, str]) -> Block:
    return replace(
        block,
        terms=tuple(_term(term, classes, floors) for term in block.terms),
        centres={classes.get(name, name): each for name, each in block.centres.items()},
    )


def _term(term: str, classes: dict[str, str], floors: dict[str, str]) -> str:
    """A term of a class, or of a class on a floor, under the new names."""
    effect = effect_of(term)
    inside = term[len(effect) + 1 : -1]
    if effect != "log rate":
        return f"{effect}[{classes.get(inside, inside)}]"
    name, floor = inside.rsplit(", ", 1)
    return f"{effect}[{classes.get(name, name)}, {floors.get(floor, floor)}]"
