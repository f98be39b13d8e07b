"""Months and weekdays as words, in the languages of those who keep logbooks.

Only words that mean one month in all of them: *listopada* is October in one country and November
in the next, so dates with such names are set aside.
"""

MONTH_NAMES = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_ABROAD = (
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
"""In German, French, Spanish, Italian, Dutch, Swedish, Danish, Norwegian, Portuguese."""
MONTHS = {
    short: number
    for number, (name, abroad) in enumerate(zip(MONTH_NAMES, _ABROAD, strict=True), start=1)
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
