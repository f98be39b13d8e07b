"""The catalogue made complete: every part that occurs has a line, every line a kind.

What is not said follows from words (a squeegee is a blade) and from the kind (a blade has four
edges). Parts without a line of their own still forecast, without a price.
"""

import numpy as np
import pandas as pd

from wearcast.logbook.findings.drafts import Drafts
from wearcast.logbook.findings.places import among, place_keys
from wearcast.logbook.schema.names import kind_of
from wearcast.logbook.schema.tables import BY_NAME, EDGES_BY_KIND

BREAKS = ["part", "from_pieces", "price"]


def fill_catalogue(drafts: Drafts) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Complete parts (one row a part) and price breaks (one row a part and number of pieces)."""
    lines = drafts["parts"].used.drop(columns=["origin", "state", "run"])
    lines = lines.assign(from_pieces=lines["from_pieces"].fillna(1.0))
    lines = lines.sort_values(["part", "from_pieces"], kind="stable", ignore_index=True)
    breaks = lines.loc[lines["price"].notna(), BREAKS].reset_index(drop=True)
    parts = _one_line_a_part(lines)
    places = part_places(drafts)
    # An order may name a part that nothing else does but a row that was set aside.
    named = {*places["part"], *drafts["stock"].used["part"], *drafts["on_order"].used["part"]}
    missing = sorted(named - set(parts["part"]))
    parts = parts.reindex(range(len(parts) + len(missing)))
    new = parts.index[len(parts) - len(missing) :]
    parts.loc[new, "part"] = missing
    return _filled(parts, new, places), breaks


def _one_line_a_part(lines: pd.DataFrame) -> pd.DataFrame:
    """The line of the fewest pieces; blanks in it filled from the part's other lines."""
    texts = [*BY_NAME["parts"].texts, "source"]
    blanked = lines.assign(**{name: lines[name].where(lines[name].ne("")) for name in texts})
    return blanked.groupby("part").first().reset_index()[list(lines.columns)]


def part_places(drafts: Drafts) -> pd.DataFrame:
    """Where each part sits: part, position; one row a pair.

    A position whose part nothing tells is a part of its own, called like the position.
    """
    changes = drafts["changes"].used
    pairs = drafts["changes"].key(["part", "position"])
    told = changes[~pd.Series(pairs).duplicated().to_numpy()]
    named = pd.concat([drafts["positions"].used, told[told["part"].ne("")]])
    listed, changed = place_keys(drafts)
    listed = listed[drafts["positions"].used_rows]
    strange = changes[~among(changed[drafts["changes"].used_rows], listed)]
    first = strange.sort_values("date", kind="stable").drop_duplicates(["machine", "position"])
    own = first[first["part"].eq("")]
    own = own.assign(part=own["position"])
    both = pd.concat([named[["part", "position"]], own[["part", "position"]]])
    return both.drop_duplicates(ignore_index=True)


def _filled(parts: pd.DataFrame, new: pd.Index, places: pd.DataFrame) -> pd.DataFrame:
    """The lines with kind, wear class, edges and pack, sorted by part."""
    texts = [*BY_NAME["parts"].texts, "source"]
    parts[texts] = parts[texts].astype(object).where(parts[texts].notna(), "")
    parts["catalogued"] = ~parts.index.isin(new)
    words = places.groupby("part")["position"].agg(lambda names: " ".join(sorted(names)))
    where = parts["part"].map(words).astype(object).fillna("")
    guessed = [kind_of(*texts) for texts in zip(parts["part"], parts["name"], where, strict=True)]
    parts["kind"] = parts["kind"].where(
        parts["kind"].ne(""), pd.Series(guessed, parts.index, object)
    )
    parts["wears_as"] = one_kind(
        parts["wears_as"].where(parts["wears_as"].ne(""), parts["part"]), parts["kind"]
    )
    parts["edges"] = parts["edges"].fillna(parts["kind"].map(EDGES_BY_KIND).astype(float))
    parts["pack"] = parts["pack"].fillna(1.0)
    parts["min_order"] = parts["min_order"].fillna(0.0)
    level = parts["service_level"]
    parts["service_level"] = level.where(level.le(1.0), level / 100)
    parts["from_pieces"] = parts["from_pieces"].fillna(1.0)
    parts["row"] = parts["row"].fillna(0).astype(np.int64)
    return parts.sort_values("part", kind="stable", ignore_index=True)


def one_kind(wears_as: pd.Series, kind: pd.Series) -> pd.Series:
    """Wear classes of parts; where several kinds share one, each kind has its own.

    A brush that is fitted together with blades would be forecast to last as long as they do.
    """
    known = ~kind.isin(["", "other"])
    mixed = kind.where(known).groupby(wears_as).transform("nunique").gt(1)
    return wears_as.where(~(mixed & known), wears_as + ", " + kind)


def with_suppliers(parts: pd.DataFrame, suppliers: pd.DataFrame) -> pd.DataFrame:
    """The parts with what the table of suppliers says where their own line says nothing.

    A part without a supplier is theirs whose prefix it begins with, the longest one first.
    """
    seller = parts["supplier"]
    named = suppliers[suppliers["prefix"].ne("")]
    for prefix, supplier in sorted(
        zip(named["prefix"], named["supplier"], strict=True), key=lambda one: -len(one[0])
    ):
        begins = parts["part"].str.casefold().str.startswith(prefix.casefold())
        seller = seller.mask(seller.eq("") & begins, supplier)
    lead = seller.map(suppliers.set_index("supplier")["lead_days"]).astype(float)
    return parts.assign(supplier=seller, lead_days=parts["lead_days"].fillna(lead))
