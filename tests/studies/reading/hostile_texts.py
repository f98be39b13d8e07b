"""CSV files and folders made to hurt: each maker writes one and returns its path."""

import codecs
import os
from collections.abc import Callable
from pathlib import Path

from tests.logbook.forge import save

HEAD = b"machine,date,hours\n"
ROW = b"M-1,2026-01-05,1\n"
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def _odd(number: int) -> int:
    return number * 2_654_435_761 % 4_294_967_291


def _readings(folder: Path, content: bytes, head: bytes = HEAD) -> Path:
    return save(folder, head + content, "readings.csv")


def _hollow(folder: Path, name: str, head: bytes, size: int) -> Path:
    """A file that takes no room on the disk, however large it says it is."""
    path = save(folder, head, name)
    os.truncate(path, size)
    return path


def a_million_headings(folder: Path) -> Path:
    headings = ",".join(f"c{_odd(n)}" for n in range(1_000_000)).encode()
    return _readings(folder, b"\nM-1,2026-01-05,1\n", b"machine,date,hours," + headings)


def half_letters_in_utf_16(folder: Path) -> Path:
    content = codecs.BOM_UTF16_LE + HEAD.decode().encode("utf-16-le")
    return save(folder, content + b"\x00\xd8,\x002\x00\n\x00" * 10, "readings.csv")


def half_a_letter_in_utf_16(folder: Path) -> Path:
    content = codecs.BOM_UTF16_LE + HEAD.decode().encode("utf-16-le") + b"x"
    return save(folder, content, "readings.csv")


def accents_upon_accents(folder: Path) -> Path:
    words = ("a" + "\u0301\u0316" * 490, "\ufdfa" * 900, "\u0344\u0390\u1fb7" * 300)
    lines = (f"{word}{n},2026-01-05,{n}\n" for n in range(60) for word in words)
    return _readings(folder, "".join(lines).encode())


def numbers_beyond_all_measure(folder: Path) -> Path:
    numbers = (
        *("1e999999999", "9" * 900_000, "-" * 100_000, f"1e{'9' * 100_000}", "1" + "0" * 400),
        *(
            "1e-400",
            "-1e308",
            f"1{',000' * 90_000}",
            f"1{' 000' * 90_000}",
            f"1{'.000' * 90_000},5",
        ),
        *("1 " * 90_000, ":" * 9_000, "999999:59", "0x10", "1_000", "\u0661\u0662", "\u00bd"),
    )
    lines = (f'M-1,2026-01-{n:02d},"{number}"\n' for n, number in enumerate(numbers, 1))
    return _readings(folder, "".join(lines).encode())


def numbers_that_take_long_to_read(folder: Path) -> Path:
    """Blanks, capitals and marks where a unit or a currency is looked for."""
    tails = (" " * 900, "A" * 900, " A" * 400, ".-" * 400, "each" * 200, " 000" * 200)
    lines = (f"P{n},EUR {n}{tail}x,1{tail}{n}x,1{tail}\n" for n in range(300) for tail in tails)
    head = b"part,price,lead_days,edges\n"
    return save(folder, head + "".join(lines).encode(), "parts.csv")


def hours_that_take_long_to_read(folder: Path) -> Path:
    tails = (" " * 900, "h" * 900, " t" * 400, "t." * 400, "std" * 300, "'000" * 200)
    lines = (f"M-1,2026-01-05,{n}{tail}x\n" for n in range(500) for tail in tails)
    return _readings(folder, "".join(lines).encode())


def dates_that_take_long_to_read(folder: Path) -> Path:
    dates = ("1 / 1 /" + " " * 30, "12" + "." * 38, "jan" + "-" * 36, "1" + "st" * 19, "mon. " * 8)
    lines = (f'M-1,"{day}{n % 9}",{n}\n' for n in range(2_000) for day in dates)
    return _readings(folder, "".join(lines).encode())


def headings_that_take_long_to_read(folder: Path) -> Path:
    headings = ("(" * 990, "[(" * 490, f"hours{'(' * 900}", "hours, " * 140, " in " * 240 + "h")
    lines = (",".join(f'"{one}{n}"' for n in range(at, at + 15) for one in headings)
             for at in range(0, 900, 15))  # fmt: skip
    return _readings(folder, "\n".join(lines).encode(), b"")


def names_that_take_long_to_read(folder: Path) -> Path:
    names = ("-" * 900, "1-" * 450, "_ " * 450, "M-" * 450)
    lines = (f'"{name}{n % 20}",2026-01-05,{n}\n' for n in range(300) for name in names)
    return _readings(folder, "".join(lines).encode())


def ten_thousand_words_for_a_machine_nobody_knows(folder: Path) -> Path:
    lines = (f"X{_odd(n)},2026-01-05,front blade,fit\n" for n in range(10_000))
    return save(folder, ("machine,date,position,action\n" + "".join(lines)).encode(), "changes.csv")


def a_name_that_is_no_text(folder: Path) -> Path:
    path = os.fsencode(folder) + b"/readings\xff\xfe.csv"
    Path(os.fsdecode(path)).write_bytes(HEAD + b"M-1,2026-01-05,1\n")
    return Path(os.fsdecode(path))


def a_folder_of_twenty_thousand_files(folder: Path) -> Path:
    for number in range(20_000):
        (folder / f"readngs-{_odd(number):010d}.csv.bak").touch()
    return save(folder, HEAD + b"M-1,2026-01-05,1\n", "readings.csv").parent


def a_name_like_ten_thousand_others(folder: Path) -> Path:
    for number in range(10_000):
        (folder / f"readngs-{_odd(number):010d}.csv").touch()
    return folder / "readings-0000000000.csv"


PLAIN: dict[str, Callable[[Path], Path]] = {
    "two_hundred_megabytes_of_one_letter": lambda at: _readings(at, b"x" * 200_000_000),
    "a_line_of_ten_million_letters": lambda at: _readings(at, b"x" * 10_000_000),
    "a_line_of_ten_million_accents": lambda at: _readings(at, b"\xe9" * 10_000_000),
    "lines_without_number": lambda at: _readings(at, b"\n" * 15_000_000),
    "carriage_returns_without_number": lambda at: _readings(at, b"\r" * 15_000_000),
    "commas_without_number": lambda at: _readings(at, b",,\n" * 5_000_000),
    "blank_lines_in_between": lambda at: _readings(at, b"\n" * 400_000 + ROW + b"\n" * 90_000),
    "accents_of_windows_in_a_hundred_thousand_lines": lambda at: _readings(at, b"\xe9\n" * 100_000),
    "a_terabyte_called_csv": lambda at: _hollow(at, "readings.csv", HEAD, 10**12),
    "a_terabyte_called_xlsx": lambda at: _hollow(at, "book.xlsx", b"PK\3\4", 10**12),
    "a_terabyte_called_xls": lambda at: _hollow(at, "book.xls", OLE, 10**12),
    "an_old_workbook_with_a_directory_nowhere": lambda at: save(
        at, OLE + b"\xff" * 504, "book.xls"
    ),
    "a_terabyte_called_sqlite": lambda at: _hollow(at, "log.sqlite", b"SQLite format 3\0", 10**12),
    "a_terabyte_called_xml": lambda at: _hollow(at, "feed.xml", b"<Fleet>", 10**12),
    "an_open_quotation_over_all_lines": lambda at: _readings(at, b'"' + ROW * 30_000),
    "quotations_of_nineteen_lines": lambda at: _readings(
        at, (b'"' + b"a\n" * 19 + b'"x,1,2\n') * 1_500
    ),
    "whole_lines_in_quotation_marks": lambda at: _readings(at, b'"M-1;2026-01-05;1"\n' * 10_000),
    "every_delimiter_in_every_line": lambda at: _readings(
        at, b"a,b;c\td|e,2026-01-05;1\n" * 10_000
    ),
    "a_delimiter_that_cannot_be_one": lambda at: _readings(at, ROW, b'sep="\n' + HEAD),
    "a_first_line_of_delimiters": lambda at: _readings(
        at, b"", b"sep=;" + b";" * 900_000 + b"x\n" + HEAD
    ),
    "letters_beyond_unicode": lambda at: save(
        at, codecs.BOM_UTF32_LE + b"\xff" * 400, "readings.csv"
    ),
    "a_hundred_thousand_byte_order_marks": lambda at: _readings(
        at, ROW, codecs.BOM_UTF8 * 100_000 + HEAD
    ),
    "overlong_letters": lambda at: _readings(
        at, b"M\xc0\xaf\xe0\x80\xaf\xed\xa0\x80,2026-01-05,1\n"
    ),
    "bytes_of_no_encoding": lambda at: _readings(at, b"M\x81\x8d,2026-01-05,1\n"),
    "a_name_as_long_as_a_name_can_be": lambda at: save(at, HEAD + ROW, "r" * 251 + ".csv"),
    "a_path_of_ten_thousand_letters": lambda at: at / ("x" * 10_000),
    "an_address_in_the_network": lambda _: Path("http://127.0.0.1:9/readings.csv"),
    "a_folder_within_the_system": lambda _: Path("/proc/self"),
}
"""Files of a line each, by name."""
