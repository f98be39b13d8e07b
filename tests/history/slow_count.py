"""A second, slow and obvious count of edges: one position, line after line, as one would by hand.

Checked on the worked examples of `test_edges.py` before it referees anything.
"""

import math


class Place:
    """One position as somebody with the log in hand would follow it."""

    def __init__(self, edges_of, position, carried=""):
        self.edges_of, self.carried = edges_of, carried
        self.part = carried or position
        self.edge = math.nan
        """1, 2 ...; nan: unknown; None: nothing there."""
        self.turned = 0
        """Turns seen while the edge is unknown."""
        self.sure = False
        """Whether the part that is there is known: False at first and after an unread line."""

    def read(self, action, named):
        """Follow one line; what ended the spell (None: nothing), and whether a fit was missed."""
        deed = {"fit": self.fit, "turn": self.turn, "remove": self.remove, "": self.unread}
        how, missed = deed[action](named)
        self.sure = action != ""
        return how, missed

    def fit(self, named):
        self.part = named or self.carried or self.part
        self.edge = 1
        return "fit", False

    def remove(self, named):
        missed = self.sure and self.edge is not None and named not in ("", self.part)
        self.part, self.edge = named or self.part, None
        return ("assumed fit" if missed else "remove"), missed

    def unread(self, _):
        self.edge, self.turned = math.nan, 0
        self.only_one_left()
        return "", False

    def turn(self, named):
        missed = self.sure and (self.edge is None or named not in ("", self.part))
        self.part = named or self.part
        if missed or not self.sure:
            self.edge, self.turned = math.nan, 0 if missed else self.turned
        if missed:
            self.next_edge()
            return "assumed fit", True
        if self.edges_of[self.part] == 1:
            self.edge = 1
            return None, False
        return self.next_edge(), False

    def next_edge(self):
        last = self.edges_of[self.part]
        if not math.isnan(self.edge):
            self.edge = self.edge % last + 1
            return "assumed fit" if self.edge == 1 else "turn"
        self.turned += 1
        self.only_one_left()
        return "turn"

    def only_one_left(self):
        """After so many turns it can only be the last edge."""
        if self.turned >= self.edges_of[self.part] - 1:
            self.edge = self.edges_of[self.part]


def count_by_hand(lines, edges_of, position, carried=""):
    """Of each line (action, part): the part and edge after it, what ended there, a missed fit."""
    place = Place(edges_of, position, carried)
    out = []
    for action, named in lines:
        how, missed = place.read(action, named)
        out.append((place.part, place.edge, how, missed))
    return out
