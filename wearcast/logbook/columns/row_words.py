"""Words and marks in rows that are no rows of their table: totals, units, examples, drawn lines."""

import re

TOTALS = frozenset(
    (
        *("total", "totals", "sum", "subtotal", "grandtotal", "average", "mean", "count"),
        *("summe", "gesamt", "ergebnis", "somme", "totale", "suma", "totaal", "summa", "soma"),
    )
)
UNIT_WORDS = frozenset(
    (
        *("h", "hr", "hrs", "hours", "d", "days", "min", "cm", "mm", "m", "m2/h", "m\u00b2/h"),
        *("pcs", "pieces", "%", "eur", "usd", "gbp", "text", "name", "number", "date", "id", "no"),
        *("std", "std.", "tage", "stk", "st\u00fcck", "ja/nein", "tt.mm.jjjj", "jj/mm/aaaa"),
        *("yes/no", "y/n", "-", "yyyy-mm-dd", "dd/mm/yyyy", "mm/dd/yyyy", "dd.mm.yyyy"),
    )
)
"""What the row under the headings says where it gives units and formats."""
EXTREMES = frozenset(("max", "min", "maximum", "minimum", "median", "avg", "std"))
"""Such words may be names; what else the row lacks tells."""
EXAMPLES = ("e.g.", "z.B.", "p.ex.")
RULE = re.compile(r"[-=_~*.+\u2013\u2014\u2500 ]{2,}|[-\u2013\u2014]")
"""A line drawn across a table."""
