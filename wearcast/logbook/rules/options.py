"""The settings sheet, checked against the declaration of the settings."""

import datetime
import re

import numpy as np
import pandas as pd

from wearcast.logbook.findings.drafts import MOST_FINDINGS, Draft, Finding, gathered
from wearcast.logbook.schema.spelling import did_you_mean, fold, tidy
from wearcast.logbook.schema.tables import SETTINGS, Setting
from wearcast.logbook.sheets.dates import Order, read_date

_BY_KEY = {fold(setting.name): setting for setting in SETTINGS}
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
"""Digits that may be a thousand and more, or hardly more than one."""
_MONEY = re.compile(r"^[€$£]\s*|\s*(?:[€$£]|[A-Z]{3})$")


def setting_named(name: str) -> Setting | None:
    """The setting of that name, in any spelling."""
    return _BY_KEY.get(fold(name.rstrip(": ")))


def setting_value(setting: Setting, text: str, order: Order | None = None) -> tuple[str, str]:
    """The value in its plain form, and what is wrong with it (empty: nothing).

    Plain form: numbers with a decimal point, dates as year-month-day, choices as declared.
    """
    plain = text.strip()
    if setting.kind == "text":
        return tidy(plain), ""
    if setting.kind == "choice":
        return _choice(setting, plain)
    if setting.kind in ("number", "count"):
        return _number(setting, plain)
    parts = [plain] if setting.kind == "date" else re.split(r"[\s,;]+", plain)
    days = [_day(part, order) for part in parts if part]
    if not days or None in days or (setting.kind == "date" and len(days) > 1):
        kind = "a date" if setting.kind == "date" else "dates with blanks between"
        return "", f"{setting.name} must be {kind}, each as year-month-day"
    return " ".join(str(day) for day in days), ""


def _choice(setting: Setting, text: str) -> tuple[str, str]:
    found = next((one for one in setting.choices if fold(one) == fold(text)), "")
    return found, "" if found else f"{setting.name} must be {' or '.join(setting.choices)}"


def _number(setting: Setting, text: str) -> tuple[str, str]:
    """A number, a decimal comma, a percentage or a number with the unit of its name."""
    plain = text.removesuffix(setting.name.partition("_")[2].replace("_", "/")).rstrip("% ")
    plain = _MONEY.sub("", plain) if setting.name == "labour_rate" else plain
    readings = [plain]
    if plain.count(",") == 1 and "." not in plain:
        readings = [plain.replace(",", ".")]
    if _THOUSANDS.fullmatch(plain):
        readings.append(plain[:-4] + plain[-3:])
    found = [_fitting(setting, reading, text.endswith("%")) for reading in readings]
    possible = [value for value in found if value]
    if len(possible) == 1:
        return possible[0], ""
    if possible:
        return "", f"{setting.name} could be {' or '.join(f'{float(one):g}' for one in possible)}"
    low = -np.inf if setting.low is None else setting.low
    high = np.inf if setting.high is None else setting.high
    what = "a whole number" if setting.kind == "count" else "a number"
    return "", f"{setting.name} must be {what} from {low:g} to {high:,.10g}"


def _fitting(setting: Setting, plain: str, percent: bool) -> str:
    """The number in plain form if the setting may be that; empty if it may not."""
    value = float(plain) if _NUMBER.fullmatch(plain) else np.nan
    low = -np.inf if setting.low is None else setting.low
    high = np.inf if setting.high is None else setting.high
    # Where 1 is the most there can be, 95 can only mean 95 %.
    if percent or (high <= 1 and not low <= value <= high):
        plain = f"{value / 100:.10g}"
        value = float(plain)
    broken = setting.kind == "count" and value % 1
    return plain if np.isfinite(value) and low <= value <= high and not broken else ""


def _day(text: str, order: Order | None) -> datetime.date | None:
    dated = read_date(text)
    return dated.in_order(order) or dated.sole


def check_settings(draft: Draft, order: Order | None) -> list[Finding]:
    """Settings that nobody knows or whose value means nothing: left out."""
    used = draft.used
    written = draft.written["value"][used.index].map(tidy)
    findings: list[Finding] = []
    for label, name, text in zip(used.index, used["setting"], written, strict=True):
        setting = setting_named(name)
        if setting is None:
            wrong = "no setting of that name"
            cure = "Correct the name"
            remedy = _hint(name, cure) if len(findings) < MOST_FINDINGS else cure
            findings.append(Finding([label], "setting", "set aside", "row", wrong, remedy))
            continue
        plain, wrong = setting_value(setting, text, order)
        if not wrong and setting.kind != "choice" and plain != text.strip():
            findings.append(Finding([label], "value", "repaired", "kept", f"read as {plain}"))
        if wrong:
            default = setting.default or "nothing"
            wrong, remedy = f"{wrong}; {default} is used", "Correct the value"
            findings.append(Finding([label], "value", "set aside", "row", wrong, remedy))
    return gathered(findings)


def _hint(name: str, cure: str) -> str:
    """The cure, and the setting meant: lead_days where somebody wrote lead time."""
    first = fold(name.replace("_", " ").split(" ")[0])
    same = [one.name for one in SETTINGS if one.name.split("_")[0] == first]
    if len(same) == 1:
        return f"Did you mean {same[0]}? {cure}"
    return did_you_mean(name, [one.name for one in SETTINGS], cure)


def settings_of(draft: Draft, order: Order | None) -> dict[str, str]:
    """The settings that were given, in their plain form."""
    used = draft.used
    named = zip(map(setting_named, used["setting"]), used["value"], strict=True)
    found = {one.name: setting_value(one, text, order)[0] for one, text in named if one}
    return dict(sorted(found.items()))


def plain_settings(frame: pd.DataFrame) -> pd.DataFrame:
    """The settings with names and values in our spelling, as far as they have one."""
    names, values = [], []
    for name, text in zip(frame["setting"], frame["value"], strict=True):
        setting = setting_named(name)
        plain = setting_value(setting, text)[0] if setting else ""
        if setting and setting.kind in ("number", "count") and plain:
            plain = f"{float(plain):.10g}"  # 0.95 and 0.950 are one
        names.append(setting.name if setting else name)
        values.append(plain or text)
    made = {"setting": names, "value": values}
    return frame.assign(**{key: pd.Series(made[key], frame.index, dtype=object) for key in made})
