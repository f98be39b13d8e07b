"""Published lives, typed from the papers named; ``+`` marks a unit that was still good."""

import re

import numpy as np

from wearcast.wear.spells import Spells

NIST = "54 187 216 240 244 335 361 373 375 386" + " 500+" * 10
"""NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3 (seen)."""

BEARINGS = (
    "17.88 28.92 33.00 41.52 42.12 45.60 48.40 51.84 51.96 54.12 55.56 67.80 68.64 68.64 68.88 "
    "84.12 93.12 98.64 105.12 105.84 127.92 128.04 173.40"
)
"""Lieblein and Zelen, J. Res. NBS 57 (1956) 273-315: millions of revolutions."""

AUTOMOTIVE = (
    "5248 7454 16890 17200 38700 45000 49390 69040 72280 131900 3961+ 4007+ 4734+ 6054+ 7298+ "
    "10190+ 23060+ 27160+ 28690+ 37100+ 40060+ 45670+ 53000+ 67000+ 69630+ 77350+ 78470+ 91680+ "
    "105700+ 106300+ 150400+"
)
"""Krivtsov and Case, SAE 1999-01-3220 (1999): km of an automotive component."""

SHOCK_ABSORBERS = (
    "6700(1) 6950+ 7820+ 8790+ 9120(2) 9660+ 9820+ 11310+ 11690+ 11850+ 11880+ 12140+ 12200(1) "
    "12870+ 13150(2) 13330+ 13470+ 14040+ 14300(1) 17520(1) 17540+ 17890+ 18450+ 18960+ 18980+ "
    "19410+ 20100(2) 20100+ 20150+ 20320+ 20900(2) 22700(1) 23490+ 26510(1) 27410+ 27490(1) "
    "27890+ 28100+"
)
"""O'Connor, Practical Reliability Engineering, 2nd ed. (1985) p. 85: km, failure mode in brackets.
Copies of this list disagree in the flags of eight rows; these are the ones that agree with the
estimates remembered from Meeker and Escobar (1998)."""

INSULATION = (
    "2E 3E 5E 8E 13+ 21E 28E 31E 31+ 52+ 53+ 64E 67+ 69E 76E 78+ 104E 113+ 119E 135+ 144E 157+ "
    "160E 168D 179+ 191D 203D 211D 221E 226D 236E 241+ 257+ 261D 264D 278D 282E 284D 286D 298D "
    "303E 314D 317D 318D 320D 327D 328D 328D 348D 348+ 350D 360D 369D 377D 387D 392D 412D 446D"
)
"""Doganaksoy, Hahn and Meeker, Quality Progress (2002): hours, E early failure, D degradation."""

KIDNEY = """
8/28 16/28 m; 23/48 13+/48 f; 22/32 28/32 m; 447/31 318/32 f; 30/10 12/10 m; 24/16 245/17 f;
7/51 9/51 m; 511/55 30/56 f; 53/69 196/69 f; 15/51 154/52 m; 7/44 333/44 f; 141/34 8+/34 f;
96/35 38/35 f; 149+/42 70+/42 f; 536/17 25+/17 f; 17/60 4+/60 m; 185/60 177/60 f; 292/43
114/44 f; 22+/53 159+/53 f; 15/44 108+/44 f; 152/46 562/47 m; 402/30 24+/30 f; 13/62 66/63 f;
39/42 46+/43 f; 12/43 40/43 m; 113+/57 201/58 f; 132/10 156/10 f; 34/52 30/52 f; 2/53 25/53 m;
130/54 26/54 f; 27/56 58/56 f; 5+/50 43/51 f; 152/57 30/57 f; 190/44 5+/45 f; 119/22 8/22 f;
54+/42 16+/42 f; 6+/52 78/52 f; 63/60 8+/60 m
"""
"""McGilchrist and Aisbett, Biometrics 47 (1991) 461-466: days to infection/age, two a patient; m or
f. Patients are to each other as machines are."""


RATS = (
    "0/20x7 0/19x4 0/18x2 0/17x1 1/20x4 1/19x2 1/18x2 2/25x1 2/24x1 2/23x1 2/20x6 1/10x1 5/49x1 "
    "2/19x1 5/46x1 3/27x1 2/17x1 7/49x1 7/47x1 3/20x2 2/13x1 9/48x1 10/50x1 4/20x7 10/48x1 4/19x3 "
    "5/22x1 11/46x1 12/49x1 5/20x2 6/23x1 5/19x1 6/22x1 6/20x3 16/52x1 15/46x1 15/47x1 9/24x1 "
    "4/14x1"
)
"""Tarone, Biometrics 38 (1982) 215-220: rats with a tumour/rats, x groups; the last is the current
one."""

PUMPS = (
    [5, 1, 5, 14, 3, 19, 1, 1, 4, 22],
    [94.3, 15.7, 62.9, 126, 5.24, 31.4, 1.05, 1.05, 2.1, 10.5],
)
"""Gaver and O'Muircheartaigh, Technometrics 29 (1987) 1-15, rounded as in George, Makov and Smith,
Scand. J. Statist. 20 (1993) 147-156: failures, and thousand hours of ten pumps."""


def lives(text: str, mark: str = "") -> tuple[np.ndarray, np.ndarray]:
    """Lives, and 1.0 where the end is the one that `mark` stands for (any end if empty)."""
    words = text.split()
    numbers = np.array([float(re.match(r"[\d.]+", word)[0]) for word in words])
    tails = [word.lstrip("0123456789.") for word in words]
    ended = [tail != "+" and (not mark or mark in tail) for tail in tails]
    return numbers, np.array(ended, dtype=float)


def rats() -> np.ndarray:
    """Rats with a tumour, and rats, of each group: array (2, 71)."""
    groups = [list(map(int, re.split("[/x]", word))) for word in RATS.split()]
    tumours, animals, times = np.array(groups).T
    return np.repeat([tumours, animals], times, axis=1)


def kidney() -> tuple[Spells, np.ndarray]:
    """Spells with the effects sex (0 male, 1 female) and age; the patient is the machine."""
    rows = [
        (float(time.rstrip("+")), time[-1] != "+", sex == "f", float(age), patient)
        for patient, entry in enumerate(KIDNEY.replace("\n", " ").split(";"))
        for *pair, sex in [entry.split()]
        for time, age in [word.split("/") for word in pair]
    ]
    time, ended, female, age, patient = (np.array(column) for column in zip(*rows, strict=True))
    effects = np.column_stack([female.astype(float), age])
    return one_floor(time, ended.astype(float), patient, effects), time


def one_floor(
    hours: np.ndarray,
    ended: np.ndarray,
    machine: np.ndarray | None = None,
    effects: np.ndarray | None = None,
) -> Spells:
    """Spells on a single floor, a machine each unless told."""
    size = len(hours)
    columns = np.zeros((size, 0)) if effects is None else effects
    return Spells(
        np.asarray(hours, dtype=float)[:, None],
        np.ones((size, 1)),
        np.asarray(ended, dtype=float),
        np.arange(size) if machine is None else machine,
        columns,
        columns,
        np.zeros(0, dtype=int),
        np.zeros(size, dtype=bool),
    )
