"""Which files a logbook may be, and how the others are turned away."""

import os
from pathlib import Path

import pytest

from tests.logbook.forge import pack, parts, save
from wearcast.errors import UnreadableFile
from wearcast.logbook.sources.files import read_sheets

CSV = "machine,date,hours\nM-1,2026-01-05,1204.5\n"
SAVE_AS = "open it in your spreadsheet program and save it as .xlsx."
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def refusal(*paths: str | Path) -> str:
    with pytest.raises(UnreadableFile) as refused:
        read_sheets(paths)
    return str(refused.value)


def test_subfolders_lock_files_and_other_files_are_left_alone(folder: Path):
    (folder / "log" / "deeper").mkdir(parents=True)
    (folder / "log" / "READINGS.CSV").write_text(CSV)
    (folder / "log" / "deeper" / "changes.csv").write_text(CSV)
    system = ("Thumbs.db", "desktop.ini")
    for name in ("~$readings.csv", ".~lock.readings.csv#", ".hidden.csv", "notes.txt", *system):
        (folder / "log" / name).write_text("x")
    sheets, told = read_sheets(["log"])
    assert [sheet.source for sheet in sheets] == ["log/READINGS.CSV"]
    assert told == []


def test_a_lock_file_is_skipped_and_told(folder: Path):
    save(folder, b"\x05owner" + b" " * 100, "~$book.xlsx")
    sheets, told = read_sheets(["~$book.xlsx"])
    assert sheets == []
    assert [problem.wrong for problem in told] == [
        "a lock file of a spreadsheet program was skipped"
    ]


NO_BOOK = f"this is no workbook, whatever its name says; {SAVE_AS}"
ODS = pack({"mimetype": "application/vnd.oasis.opendocument", "content.xml": "<x/>"})


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        ("a.xlsx", b"", "the file is empty (0 bytes); save or export it again."),
        ("a.xls", OLE + b"\0" * 600 + "Workbook".encode("utf-16-le"),
         f"this is a workbook of the old kind (.xls), which cannot be read here; {SAVE_AS}"),
        ("a.xlsx", OLE + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"),
         "the workbook is encrypted with a password; save a copy without the password."),
        ("a.xlsx", b"\r\n<HTML><table></table>", f"this is a web page called .xlsx; {SAVE_AS}"),
        ("a.xls", b"<?xml version='1.0'?><W/>", f"this is XML called .xls; {SAVE_AS}"),
        ("a.xlsx", CSV.encode(), NO_BOOK),
        ("a.xlsb", pack({"xl/workbook.bin": "x"}),
         f"this is a binary workbook (.xlsb), which cannot be read here; {SAVE_AS}"),
        ("a.ods", ODS, f"this is an OpenDocument file, which cannot be read here; {SAVE_AS}"),
        ("a.zip", pack({"readings.csv": CSV}), "this is a zip but no workbook; give an .xlsx"
         " workbook, or unpack it and give the folder."),
        ("a.db", b"hello" * 50, "this is no SQLite file; export the database again."),
    ],
    ids=["zero bytes", "xls", "encrypted", "web page", "XML", "CSV called xlsx", "xlsb", "ods",
         "zip", "db"],
)  # fmt: skip
def test_what_is_no_logbook_is_refused_with_its_reason(
    folder: Path, name: str, content: bytes, message: str
):
    save(folder, content, name)
    assert refusal(name) == f"{name}: {message}"


NONE = "there is no such file or folder"


@pytest.mark.parametrize(
    ("there", "given", "message"),
    [
        ("readings.csv", "reading.csv", f"reading.csv: {NONE}; did you mean readings.csv?"),
        ("notes.txt", ".",
         ".: no .csv file directly in this folder; put readings.csv and changes.csv there."),
        ("book.xlsx", ".",
         ".: no .csv file in this folder; to use book.xlsx, name the file itself."),
        ("x", "a\0\n\udcffb", f"a???b: {NONE}; look at the spelling."),
        ("x", "nowhere/a.xlsx",
         f"nowhere/a.xlsx: {NONE}; the folder nowhere is not there either."),
        ("x", "/dev/null", "/dev/null: this is neither a file nor a folder; give a logbook."),
    ],
    ids=["a slip", "no tables", "a workbook alone", "no letters", "no folder", "a device"],
)  # fmt: skip
def test_what_is_not_there_is_refused_with_what_may_be_meant(folder, there, given, message):
    save(folder, pack(parts()), there)
    assert refusal(given) == message


def test_a_name_that_the_system_does_not_take_is_refused():
    assert "cannot be opened (" in refusal(Path("x" * 300))


def test_nothing_given_is_refused():
    assert refusal() == "No logbook was given; name a workbook, a folder or a file."


def test_three_hundred_files_that_bear_a_table_s_name_are_joined_and_no_more(tmp_path: Path):
    for number in range(300):
        (tmp_path / f"readings ({number}).csv").write_text("machine,date,hours\n")
    assert len(read_sheets([tmp_path])[0]) == 300
    (tmp_path / "readings (300).csv").write_text("machine,date,hours\n")
    with pytest.raises(UnreadableFile, match="301 sheets or files bear the name of a table"):
        read_sheets([tmp_path])


def old_office_file(shift: int, sector: int, directory: int, name: str = "") -> bytes:
    """An old office file with its directory at that place; sectors are 2^shift bytes long."""
    head = bytearray(OLE + b"\xff" * (512 - len(OLE)))
    head[30:32], head[48:52] = shift.to_bytes(2, "little"), sector.to_bytes(4, "little")
    return bytes(head) + bytes(directory - 512) + name.encode("utf-16-le")


@pytest.mark.parametrize(
    ("shift", "sector", "directory"),
    [(9, 2_000, 512 * 2_001), (12, 300, 4_096 * 301), (12, 256, 4_096 * 257)],
)
def test_an_encrypted_workbook_is_known_however_far_its_directory_lies(
    folder: Path, shift: int, sector: int, directory: int
):
    # Where the sizes stand: MS-CFB 2.2 (remembered); the first sector follows the header's.
    content = old_office_file(shift, sector, directory, "EncryptedPackage")
    save(folder, content, "a.xlsx")
    assert "encrypted with a password" in refusal("a.xlsx")


def test_an_old_file_whose_directory_lies_nowhere_is_of_the_old_kind(folder: Path):
    save(folder, old_office_file(60_000, 2**32 - 1, 600), "a.xls")
    assert "a workbook of the old kind" in refusal("a.xls")


@pytest.mark.parametrize(
    ("name", "read"),
    [("readings.tsv", True), ("readings.CSV", True), ("readings.txt", True), ("notes.txt", False),
     (".readings.csv", False), ("~$readings.csv", False), ("readings.md", False)],
)  # fmt: skip
def test_of_a_folder_files_of_separated_values_are_read(tmp_path: Path, name: str, read: bool):
    (tmp_path / "changes.csv").write_text("machine\n")
    (tmp_path / name).write_text("machine\n")
    sheets, told = read_sheets([tmp_path])
    assert len(sheets) == 1 + read
    assert told == []


def test_a_workbook_beside_tables_is_told_and_a_system_s_file_is_not(tmp_path: Path):
    for name in ("changes.csv", "book.XLSX", "log.db", "Thumbs.db", "desktop.ini"):
        (tmp_path / name).write_text("machine\n")
    _, told = read_sheets([tmp_path])
    assert [one.wrong for one in told] == [
        "book.XLSX in the folder was not read", "log.db in the folder was not read",
    ]  # fmt: skip


def test_a_broken_file_that_bears_no_table_s_name_is_left_out_and_told(folder: Path):
    (folder / "notes.csv").write_bytes(b"")
    (folder / "readings.csv").write_text(CSV)
    (sheet,), (told,) = read_sheets([folder])
    assert sheet.name == "readings"
    assert told.wrong == "notes.csv bears no table's name and cannot be read; it was left out"
    assert told.remedy.startswith("If it counts: the file is empty (0 bytes)")


def test_a_broken_file_that_bears_a_table_s_name_is_refused(folder: Path):
    (folder / "log").mkdir()
    (folder / "log" / "changes.csv").write_text(CSV)
    (folder / "log" / "readings.csv").touch()
    assert refusal("log").startswith("log/readings.csv: the file is empty")


def test_a_table_takes_a_name_that_can_be_written_from_a_file_that_has_none(folder: Path):
    path = Path(os.fsdecode(b"odd\xff.csv"))
    path.write_text(CSV)
    (sheet,), _ = read_sheets([path])
    assert (sheet.name, sheet.source) == ("odd?", "odd?.csv")
