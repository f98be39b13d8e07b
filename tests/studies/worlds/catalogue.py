"""What there is to buy and to clean: parts, floors, and how long an edge lasts on a floor.

The numbers are this simulator's own. A life is the mean run hours of one edge until it is worn
out, on a machine of usual wear at a site of usual wear.
"""

from dataclasses import dataclass

FLOORS = ("terrazzo", "rough concrete", "glazed tile", "rubber")
_FLOOR_LIFE = {"terrazzo": 1.15, "rough concrete": 0.62, "glazed tile": 0.85, "rubber": 1.4}


@dataclass(frozen=True)
class Part:
    """A line of the catalogue, and how it lives."""

    name: str
    kind: str
    wears_as: str
    edges: int
    price: float
    pieces: int
    """used by one change"""
    life: float
    """mean hours of an edge to wear-out, before the floor's factor"""
    unevenness: float
    """standard deviation of that life over its mean"""
    hours_to_damage: float
    """mean hours until an edge is damaged"""


FRONT = Part("LIP-FRONT", "blade", "soft lip", 4, 8.0, 1, 110.0, 0.40, 900.0)
REAR = Part("LIP-REAR", "blade", "soft lip", 4, 11.0, 1, 110.0, 0.40, 900.0)
DISC = Part("DISC", "pad", "disc", 2, 5.0, 2, 75.0, 0.35, 2500.0)
ROLLER = Part("ROLLER", "brush", "roller", 1, 48.0, 1, 320.0, 0.30, 6000.0)
PARTS = (FRONT, REAR, DISC, ROLLER)

POSITIONS = {"front blade": FRONT, "rear blade": REAR}
DECKS = {"disc deck": DISC, "roller deck": ROLLER}


def life_on(part: Part, floor: str) -> float:
    """Mean hours of an edge to wear-out on a floor.

    Floors matter less to a deck than to blades.
    """
    power = 1.0 if part.kind == "blade" else 0.6
    return float(part.life * _FLOOR_LIFE[floor] ** power)
