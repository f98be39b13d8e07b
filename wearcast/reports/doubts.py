"""What stands before any figure: what speaks against the whole forecast, or makes it a what-if."""

from collections.abc import Iterable

from wearcast.told import GRAVE, Problem


def doubts(told: Iterable[Problem]) -> list[str]:
    """The gravest findings, as sentences."""
    grave = [each for each in told if each.weight >= GRAVE and each.severity == "note"]
    return [f"{each.wrong[:1].upper()}{each.wrong[1:]}. {each.remedy}." for each in grave]
