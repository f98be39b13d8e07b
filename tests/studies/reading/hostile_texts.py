"""CSV files and folders made to hurt: each maker writes one and returns its path."""

import codecs
import os
from pathlib import Path

from tests.logbook.forge import save

HEAD = b"machine,date,hours\n"
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


def two_hundred_megabytes_of_one_letter(folder: Path) -> Path:
    return _readings(folder, b"x" * 200_000_000)


def a_line_of_ten_million_letters(folder: Path) -> Path:
    return _readings(folder, b"x" * 10_000_000)


def a_line_of_ten_million_accents(folder: Path) -> Path:
    return _readings(folder, b"\xe9" * 10_000_000)


def lines_without_number(folder: Path) -> Path:
    return _readings(folder, b"\n" * 15_000_000)


def carriage_returns_without_number(folder: Path) -> Path:
    return _readings(folder, b"\r" * 15_000_000)


def commas_without_number(folder: Path) -> Path:
    return _readings(folder, b",,\n" * 5_000_000)


def blank_lines_in_between(folder: Path) -> Path:
    return _readings(folder, b"\n" * 400_000 + b"M-1,2026-01-05,1\n" + b"\n" * 90_000)


def accents_of_windows_in_a_hundred_thousand_lines(folder: Path) -> Path:
    return _readings(folder, b"\xe9\n" * 100_000)


def a_terabyte_called_csv(folder: Path) -> Path:
    return _hollow(folder, "readings.csv", HEAD, 10**12)


def a_terabyte_called_xlsx(folder: Path) -> Path:
    return _hollow(folder, "book.xlsx", b"PK\3\4", 10**12)


def a_terabyte_called_xls(folder: Path) -> Path:
    return _hollow(folder, "book.xls", OLE, 10**12)


def an_old_workbook_with_a_directory_nowhere(folder: Path) -> Path:
    return save(folder, OLE + b"\xff" * 504, "book.xls")


def a_terabyte_called_sqlite(folder: Path) -> Path:
    return _hollow(folder, "log.sqlite", b"SQLite format 3\0", 10**12)


def a_terabyte_called_xml(folder: Path) -> Path:
    return _hollow(folder, "feed.xml", b"<Fleet>", 10**12)


def a_million_headings(folder: Path) -> Path:
    headings = ",".join(f"c{_odd(n)}" for n in range(1_000_000)).encode()
    return _readings(folder, b"\nM-1,2026-01-05,1\n", b"machine,date,hours," + headings)


def an_open_quotation_over_all_lines(folder: Path) -> Path:
    return _readings(folder, b'"' + b"M-1,2026-01-05,1\n" * 30_000)


def quotations_of_nineteen_lines(folder: Path) -> Path:
    return _readings(folder, (b'"' + b"a\n" * 19 + b'"x,1,2\n') * 1_500)


def whole_lines_in_quotation_marks(folder: Path) -> Path:
    return _readings(folder, b'"M-1;2026-01-05;1"\n' * 10_000)


def every_delimiter_in_every_line(folder: Path) -> Path:
    return _readings(folder, b"a,b;c\td|e,2026-01-05;1\n" * 10_000)


def a_delimiter_that_cannot_be_one(folder: Path) -> Path:
    return _readings(folder, b"M-1,2026-01-05,1\n", b'sep="\n' + HEAD)


def a_first_line_of_delimiters(folder: Path) -> Path:
    return _readings(folder, b"", b"sep=;" + b";" * 900_000 + b"x\n" + HEAD)


def half_letters_in_utf_16(folder: Path) -> Path:
    content = codecs.BOM_UTF16_LE + HEAD.decode().encode("utf-16-le")
    return save(folder, content + b"\x00\xd8,\x002\x00\n\x00" * 10, "readings.csv")


def half_a_letter_in_utf_16(folder: Path) -> Path:
    content = codecs.BOM_UTF16_LE + HEAD.decode().encode("utf-16-le") + b"x"
    return save(folder, content, "readings.csv")


def letters_beyond_unicode(folder: Path) -> Path:
    return save(folder, codecs.BOM_UTF32_LE + b"\xff" * 400, "readings.csv")


def a_hundred_thousand_byte_order_marks(folder: Path) -> Path:
    return _readings(folder, b"M-1,2026-01-05,1\n", codecs.BOM_UTF8 * 100_000 + HEAD)


def overlong_letters(folder: Path) -> Path:
    return _readings(folder, b"M\xc0\xaf\xe0\x80\xaf\xed\xa0\x80,2026-01-05,1\n")


def bytes_of_no_encoding(folder: Path) -> Path:
    return _readings(folder, b"M\x81\x8d,2026-01-05,1\n")


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


def a_name_as_long_as_a_name_can_be(folder: Path) -> Path:
    return save(folder, HEAD + b"M-1,2026-01-05,1\n", "r" * 251 + ".csv")


def a_name_that_is_no_text(folder: Path) -> Path:
    path = os.fsencode(folder) + b"/readings\xff\xfe.csv"
    Path(os.fsdecode(path)).write_bytes(HEAD + b"M-1,2026-01-05,1\n")
    return Path(os.fsdecode(path))


def a_path_of_ten_thousand_letters(folder: Path) -> Path:
    return folder / ("x" * 10_000)


def an_address_in_the_network(folder: Path) -> Path:
    return Path("http://127.0.0.1:9/readings.csv")


def a_folder_of_twenty_thousand_files(folder: Path) -> Path:
    for number in range(20_000):
        (folder / f"readngs-{_odd(number):010d}.csv.bak").touch()
    return save(folder, HEAD + b"M-1,2026-01-05,1\n", "readings.csv").parent


def a_name_like_ten_thousand_others(folder: Path) -> Path:
    for number in range(10_000):
        (folder / f"readngs-{_odd(number):010d}.csv").touch()
    return folder / "readings-0000000000.csv"


def a_folder_within_the_system(folder: Path) -> Path:
    return Path("/proc/self")
