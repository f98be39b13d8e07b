"""What a number in a workbook stands for, by its number format: a date, a time, an amount.

A workbook stores dates as day numbers; only the cell's format tells them from amounts. The
codes are those of ECMA-376 part 1, 18.8.30 (built-in) and 18.8.31 (written by hand).
"""

import datetime
import re
from functools import lru_cache

_DATES = {14, 15, 16, 17, 22, *range(27, 37), *range(50, 59)}
_TIMES = {18, 19, 20, 21, 45, 47}
_ELAPSED = 46
_LONGEST_CODE = 255
"""Letters of a format that are looked at; spreadsheet programs write no longer ones."""
_LITERAL = re.compile(r'"[^"]*"|\\.|_.|\*.')
_ELAPSED_CODE = re.compile(r"\[(?:h+|m+|s+)\]", re.IGNORECASE)
_PADDED = re.compile(r'(?:"([^"]*)")?(0{2,})')
"""Numbers shown with zeros in front, or behind letters: 0014, M-014."""
_BRACKETS = re.compile(r"\[[^\[\]]*\]")


@lru_cache
def meaning_of(number: int, code: str = "") -> str:
    """What a format's number and its written code make of a number.

    ``date``, ``time``, ``elapsed``, ``amount``, or ``padded`` with the code that writes zeros.
    """
    if not code:
        if number == _ELAPSED:
            return "elapsed"
        return "date" if number in _DATES else "time" if number in _TIMES else "amount"
    if _PADDED.fullmatch(code[:_LONGEST_CODE]):
        return f"padded {code}"
    bare = _LITERAL.sub("", code[:_LONGEST_CODE]).split(";")[0]
    if _ELAPSED_CODE.search(bare):
        return "elapsed"
    bare = _BRACKETS.sub("", bare).lower()
    if "general" in bare:
        return "amount"
    if re.search("[dy]", bare) or ("m" in bare and not re.search("[hs]", bare)):
        return "date"
    return "time" if re.search("[hs]", bare) else "amount"


def as_shown(number: float, meaning: str, date1904: bool) -> object:
    """The number as the spreadsheet shows it: a date, a time as text, or the number itself.

    Day numbers that are no day (0, the 29 February 1900 that never was, beyond 9999) stay
    numbers, for the rules about dates to judge.
    """
    if meaning == "elapsed" and 0 <= number < 1e6:
        minutes = round(number * 1440)
        return f"{minutes // 60}:{minutes % 60:02d}"
    if meaning == "time" and 0 <= number < 1:
        minutes = round(number * 1440)
        return f"{minutes // 60:02d}:{minutes % 60:02d}"
    if meaning.startswith("padded "):
        return _padded(number, meaning.removeprefix("padded "))
    return number if meaning == "amount" else _day(number, date1904)


def _padded(number: float, code: str) -> object:
    """A whole number with the zeros and letters that its format puts in front."""
    found = _PADDED.fullmatch(code)
    if found is None or number < 0 or number != int(number):
        return number
    return f"{found[1] or ''}{int(number):0{len(found[2])}d}"


def _day(number: float, date1904: bool) -> object:
    if date1904:
        first, zero = 0, datetime.datetime(1904, 1, 1)
    elif number < 60:
        first, zero = 1, datetime.datetime(1899, 12, 31)
    else:
        first, zero = 61, datetime.datetime(1899, 12, 30)
    if number < first:
        return number
    try:
        # To the millisecond: what arithmetic left is rounded off, 23:59:59.7 stays on its day.
        exact = zero + datetime.timedelta(milliseconds=round(number * 86_400_000))
        return exact.replace(microsecond=0)
    except OverflowError:
        return number
