"""Every list of words that the logbook's reader knows, in one place.

Words for our choices, for nothing, yes and no, for rows that are no rows of their table, and for
months and weekdays. Trade words are common practice, no source.
"""

import re

ACTION_WORDS = (
    ("fitted", "fit"),
    ("fits", "fit"),
    ("turned", "turn"),
    ("turns", "turn"),
    ("removed", "remove"),
    ("removes", "remove"),
    ("taken off", "remove"),
    ("replaced", "fit"),
    ("replace", "fit"),
    ("replacement", "fit"),
    ("changed", "fit"),
    ("change", "fit"),
    ("changed out", "fit"),
    ("renewed", "fit"),
    ("renew", "fit"),
    ("exchanged", "fit"),
    ("exchange", "fit"),
    ("installed", "fit"),
    ("install", "fit"),
    ("mounted", "fit"),
    ("new", "fit"),
    ("new part", "fit"),
    ("new blade", "fit"),
    ("new brush", "fit"),
    ("new pad", "fit"),
    ("fit new", "fit"),
    ("fitted new", "fit"),
    ("turned over", "turn"),
    ("turn over", "turn"),
    ("turned round", "turn"),
    ("turned around", "turn"),
    ("turned edge", "turn"),
    ("edge turned", "turn"),
    ("next edge", "turn"),
    ("rotated", "turn"),
    ("rotate", "turn"),
    ("flipped", "turn"),
    ("flip", "turn"),
    ("flip edge", "turn"),
    ("flipped edge", "turn"),
    ("swapped edge", "turn"),
    ("second edge", "turn"),
    ("2nd edge", "turn"),
    ("reversed", "turn"),
    ("reverse", "turn"),
    ("inverted", "turn"),
    ("new fitted", "fit"),
    ("dismounted", "remove"),
    ("taken out", "remove"),
    ("uninstalled", "remove"),
    ("swap", "fit (a new part) or turn (its next edge)"),
    ("swapped", "fit (a new part) or turn (its next edge)"),
)
CAUSE_WORDS = (
    ("wear", "worn"),
    ("worn out", "worn"),
    ("damage", "damaged"),
    ("torn", "damaged"),
    ("plan", "planned"),
    ("wear and tear", "worn"),
    ("worn down", "worn"),
    ("used up", "worn"),
    ("end of life", "worn"),
    ("streaks", "worn"),
    ("streaking", "worn"),
    ("streaky", "worn"),
    ("leaves streaks", "worn"),
    ("leaves water", "worn"),
    ("leaving water", "worn"),
    ("water left", "worn"),
    ("smears", "worn"),
    ("blunt", "worn"),
    ("dull", "worn"),
    ("rounded", "worn"),
    ("bald", "worn"),
    ("thin", "worn"),
    ("too short", "worn"),
    ("due", "worn"),
    ("normal", "worn"),
    ("normal wear", "worn"),
    ("worn through", "worn"),
    ("worn edge", "worn"),
    ("edge worn", "worn"),
    ("unknown", "unknown"),
    ("not known", "unknown"),
    ("tear", "damaged"),
    ("ripped", "damaged"),
    ("rip", "damaged"),
    ("split", "damaged"),
    ("cut", "damaged"),
    ("broken", "damaged"),
    ("cracked", "damaged"),
    ("accident", "damaged"),
    ("scheduled", "planned"),
    ("planned change", "planned"),
    ("routine", "planned"),
    ("preventive", "planned"),
    ("service", "planned"),
)
KIND_WORDS = (
    ("blades", "blade"),
    ("squeegee", "blade"),
    ("squeegees", "blade"),
    ("squeegee blade", "blade"),
    ("brushes", "brush"),
    ("cylindrical brush", "brush"),
    ("disc brush", "brush"),
    ("roller", "brush"),
    ("pads", "pad"),
    ("others", "other"),
)
AND_WORDS = ("and", "und", "et", "y", "en", "e")
"""Between two things that one cell names."""
KIND_NOUNS = (
    (
        "blade",
        (
            *("blade", "squeegee", "lippe", "saugleiste", "bavette", "raclette", " lame ", "goma"),
            *("labio", "zuigrubber", "zuigstrip"),
        ),
    ),
    (
        "brush",
        (
            *("brush", "roller", "b\u00fcrste", "buerste", "brosse", "balai", "cepillo"),
            "borstel",
        ),
    ),
    ("pad", ("pad", "disque", "disco")),
)
"""What a part is called in five languages; ``lame`` alone, for it may stand in other words."""

DITTO_WORDS = frozenset({"ditto", "dito", "do.", "dto.", "idem", "as above", "wie oben", "s.o."})
MISSING_WORDS = frozenset({"n/a", "na", "none", "null", "nil", *DITTO_WORDS})
ERROR_WORDS = frozenset({"#n/a", "#ref!", "#value!", "#div/0!", "#name?", "#num!", "#null!"})
YES = frozenset({"yes", "y", "true", "1", "x"})
NO = frozenset({"no", "n", "false", "0"})
ALSO_YES = frozenset(
    (
        *("t", "ja", "j", "oui", "si", "s\u00ed", "sim", "wahr", "vrai"),
        *("new", "newmeter", "newmeterfitted", "replaced", "reset", "exchanged", "swapped"),
        *("\u2713", "\u2714", "\u2714\ufe0f", "\u2611", "\u2705"),
    )
)
ALSO_NO = frozenset(
    (
        *("f", "nein", "nee", "nej", "non", "n\u00e3o", "falsch", "faux"),
        *("\u2717", "\u2718", "\u2610", "\u274c", "[]", "()"),
    )
)
"""Words of the neighbours, and ticks and crosses: told when they are read."""

TOTALS = frozenset(
    (
        *("total", "totals", "sum", "subtotal", "grandtotal", "average", "mean", "count"),
        *("summe", "gesamt", "ergebnis", "somme", "totale", "suma", "totaal", "summa", "soma"),
    )
)
UNIT_WORDS = frozenset(
    (
        *("h", "hr", "hrs", "hours", "d", "days", "min", "cm", "mm", "m", "m2/h", "m\u00b2/h"),
        *(
            "ea",
            "each",
            "pcs",
            "pieces",
            "%",
            "eur",
            "usd",
            "gbp",
            "text",
            "name",
            "number",
            "date",
            "id",
            "no",
        ),
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

MONTH_NAMES = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_MONTHS_ABROAD = (
    "januar janvier enero gennaio januari ene gen janv janeiro",
    "februar f\u00e9vrier fevrier febrero febbraio februari f\u00e9vr fevr f\u00e9v fevereiro fev",
    "m\u00e4rz maerz mars marzo maart m\u00e4r mrt mar\u00e7o marco marts",
    "avril abril aprile avr abr",
    "mai mayo maggio mei maj mag maio",
    "juni juin junio giugno giu junho",
    "juli juillet julio luglio juil lug julho",
    "august ao\u00fbt aout agosto augusti augustus ago",
    "septembre septiembre settembre setiembre set sett setembro",
    "oktober octobre octubre ottobre okt ott outubro out",
    "novembre noviembre novembro",
    "dezember d\u00e9cembre decembre diciembre dicembre december dez d\u00e9c dic dezembro desember"
    " des",
)
"""In German, French, Spanish, Italian, Dutch, Swedish, Danish, Norwegian, Portuguese.

Only words that mean one month in all of them: *listopada* is October in one country and November
in the next, so dates with such names are set aside.
"""
MONTHS = {
    short: number
    for number, (name, abroad) in enumerate(zip(MONTH_NAMES, _MONTHS_ABROAD, strict=True), start=1)
    for short in (name.lower(), name.lower()[:3], name.lower()[:4], *abroad.split())
}
WEEKDAYS = (
    *("(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*", "mo", "di", "mi", "do", "fr", "sa", "so"),
    *("(?:diens|donners|frei|sonn)tag", "mittwoch", "(?:lun|mar|mercre|jeu|vendre|same)di"),
    *("dimanche", "lunes", "martes", "mi[\u00e9e]rcoles", "jueves", "viernes", "s[\u00e1a]bado"),
    *("domingo", "(?:lune|marte|mercole|giove|vener)d[\u00eci]", "sabato", "domenica"),
    *("(?:maan|dins|woens|donder|vrij|zater|zon)dag", "ma", "wo", "vr", "za", "zo"),
    *("(?:m\u00e5n|man|tis|tirs|ons|tors|fre|l\u00f6r|l\u00f8r|s\u00f6n|s\u00f8n)dag",),
)
"""Patterns in small letters. Short forms that are a month elsewhere (*mar.*) are left out."""
WEEK_WORDS = frozenset(
    (
        *("w", "wk", "week", "cw", "kw", "woche", "kalenderwoche"),
        *("s", "sem", "semaine", "semana", "settimana", "uge", "vecka", "uke"),
    )
)
"""Before or behind the number of a week."""
DONE_WORDS = frozenset(
    (
        *("done", "completed", "complete", "closed", "finished", "executed", "carried out", "yes"),
        *("erledigt", "abgeschlossen", "fertig", "fait", "termin\u00e9", "termin\u00e9e", "clos"),
        *("hecho", "terminado", "cerrado", "realizado", "gedaan", "gereed", "afgerond", "klaar"),
    )
)
"""Under a heading such as Status: the work was done."""
OPEN_WORDS = frozenset(
    (
        *("open", "planned", "scheduled", "cancelled", "canceled", "rejected", "declined"),
        *("in progress", "pending", "on hold", "waiting", "to do", "not done", "postponed"),
        *("offen", "geplant", "storniert", "abgebrochen", "in arbeit", "abgelehnt", "verschoben"),
        *("ouvert", "en cours", "planifi\u00e9", "pr\u00e9vu", "annul\u00e9", "annul\u00e9e"),
        *("abierto", "abierta", "pendiente", "en curso", "planificado", "anulado", "cancelado"),
        *("gepland", "geannuleerd", "vervallen", "lopend", "in behandeling", "uitgesteld"),
    )
)
"""The work was not done, not yet, or may never be."""
RUN_HEADINGS = frozenset(("run", "runhours", "hoursrun", "runtime", "runninghours", "hoursworked"))
"""Keys of headings of hours run in a period, or of a meter: only the person knows."""
