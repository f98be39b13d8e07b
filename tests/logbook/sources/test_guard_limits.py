"""Where a workbook stops being plausible: what its directory says, and what its XML costs.

The limits are ours; how they were chosen stands beside them.
"""

import io
import struct
import zipfile
from pathlib import Path

import pytest

from tests.logbook.forge import pack, parts, save
from wearcast.errors import UnreadableFile
from wearcast.logbook.sources import guard
from wearcast.logbook.sources.guard import listen, open_entry, open_zip

MB = 1_000_000


def entry(name: str = "a", size: int = 10, packed: int = 10, at: int = 0) -> zipfile.ZipInfo:
    made = zipfile.ZipInfo(name)
    made.file_size, made.compress_size, made.header_offset = size, packed, at
    return made


@pytest.mark.parametrize(
    ("entries", "wrong"),
    [
        ([entry(str(place)) for place in range(2_000)], ""),
        ([entry(str(place)) for place in range(2_001)], "2,001 files in it"),
        ([entry("a"), entry("b")], ""),
        ([entry("a"), entry("b"), entry("A")], "two files of one name in it"),
    ],
)
def test_a_workbook_holds_two_thousand_files_each_of_a_name_of_its_own(entries, wrong):
    assert guard._wrong_entry(entries) == wrong


@pytest.mark.parametrize(
    ("entries", "wrong"),
    [
        ([], ""),
        ([entry(size=300 * MB, packed=300 * MB)], ""),
        ([entry(size=299 * MB, packed=299 * MB), entry(size=2 * MB, packed=MB)],
         "unpacked it would be 301 MB"),
        ([entry(size=300 * MB + 1, packed=300 * MB)], "unpacked it would be 300 MB"),
        # Packed 25 to 1 is plausible; more is harmless in two megabytes together.
        ([entry(size=50 * MB, packed=2 * MB)], ""),
        ([entry(size=2 * MB, packed=1)], ""),
        ([entry(size=MB, packed=0), entry(size=MB, packed=1)], ""),
        ([entry(size=MB, packed=1), entry(size=MB + 1, packed=0), entry(size=MB, packed=MB)],
         "a file in it would grow 1,000,001 times when unpacked"),
        ([entry(size=52 * MB, packed=2 * MB), entry(size=27 * MB, packed=MB)],
         "a file in it would grow 27 times when unpacked"),
    ],
)  # fmt: skip
def test_a_workbook_is_packed_as_hard_as_real_ones_are(entries, wrong):
    assert guard._wrong_packing(entries) == wrong


@pytest.mark.parametrize(
    ("places", "wrong"),
    [
        ([(0, 10), (40, 20)], ""),
        ([(40, 20), (0, 10)], ""),
        ([(0, 11), (40, 20)], "files in it overlap"),
        ([(40, 20), (0, 11)], "files in it overlap"),
        ([(0, 10), (40, 31)], "it holds less than it says"),
        ([(0, 10), (40, 30)], ""),
    ],
)
def test_files_lie_one_after_another_within_the_zip(tmp_path: Path, places, wrong):
    # Thirty bytes stand before each packed file (the zip format, remembered); 100 in all.
    (tmp_path / "book.xlsx").write_bytes(bytes(100))
    entries = [entry(str(at), packed=packed, at=at) for at, packed in places]
    assert guard._wrong_place(entries, tmp_path / "book.xlsx") == wrong


def directory(length: int, before: bytes = b"") -> bytes:
    """The last record of a zip, after some bytes: its directory is so many bytes long."""
    return before + b"PK\x05\x06" + bytes(8) + struct.pack("<LLH", length, 0, 0)


def long_directory(length: int) -> bytes:
    """The last records of a zip64: its directory is so many bytes long."""
    record = bytes(40) + struct.pack("<Q", length) + bytes(8)
    locator = b"PK\x06\x07" + bytes(4) + struct.pack("<Q", 7) + bytes(4)
    return bytes(7) + record + directory(0, locator)


@pytest.mark.parametrize("make", [directory, long_directory])
@pytest.mark.parametrize(("length", "wrong"), [(600_000, None), (600_001, "its list of contents")])
def test_a_list_of_contents_takes_three_hundred_bytes_a_file(tmp_path: Path, make, length, wrong):
    path = save(tmp_path, make(length))
    if wrong is None:
        guard._check_directory_size(path, "book.xlsx")
    else:
        with pytest.raises(UnreadableFile, match=f"{wrong} is 600,001 bytes long"):
            guard._check_directory_size(path, "book.xlsx")


@pytest.mark.parametrize(
    "content",
    [
        pytest.param(b"", id="nothing"),
        pytest.param(directory(10)[:-1], id="a last record cut short"),
        pytest.param(directory(10, bytes(10)) + bytes(66_000), id="a last record far inside"),
    ],
)
def test_a_zip_without_its_last_record_is_cut_short(tmp_path: Path, content: bytes):
    with pytest.raises(UnreadableFile, match="cut short or damaged"):
        guard._check_directory_size(save(tmp_path, content), "book.xlsx")


def test_a_list_of_contents_that_is_none_is_cut_short(tmp_path: Path):
    with pytest.raises(UnreadableFile, match="cut short or damaged"):
        open_zip(save(tmp_path, directory(10)), "book.xlsx")


def test_a_comment_may_follow_the_last_record(tmp_path: Path):
    # At most 65,535 bytes (the zip format, remembered).
    guard._check_directory_size(save(tmp_path, directory(10, bytes(9)) + bytes(65_535)), "book")


@pytest.mark.parametrize("size", [80 * MB, 80 * MB + 1])
def test_one_file_in_a_workbook_takes_eighty_megabytes(tmp_path: Path, size: int):
    with open_zip(save(tmp_path, pack(parts())), "book.xlsx") as archive:
        archive.getinfo("xl/workbook.xml").file_size = size
        if size == 80 * MB:
            open_entry(archive, "xl/workbook.xml", "book.xlsx").close()
            return
        with pytest.raises(UnreadableFile, match="a sheet in it takes 80 MB, more than a logbook"):
            open_entry(archive, "xl/workbook.xml", "book.xlsx")


def heard(text: str | bytes) -> list[str]:
    """The tags that are heard, as they begin and end, and the words between."""
    found: list[str] = []
    stream = io.BytesIO(text if isinstance(text, bytes) else text.encode())
    listen(stream, "book.xlsx", lambda tag, _: found.append(f"+{tag}"),
           lambda tag: found.append(f"-{tag}"), found.append)  # fmt: skip
    return found


def test_tags_come_without_their_name_space_and_with_what_stands_between():
    assert heard('<a xmlns="urn:x"><b>7</b><b/></a>') == ["+a", "+b", "7", "-b", "+b", "-b", "-a"]


def test_attributes_come_by_their_names():
    found: list[tuple[str, dict[str, str]]] = []
    listen(io.BytesIO(b'<a x="1" y="2"/>'), "book.xlsx", lambda *each: found.append(each))
    assert found == [("a", {"x": "1", "y": "2"})]


def test_elements_lie_a_thousand_deep_and_no_deeper():
    assert len(heard("<x>" * 1_000 + "</x>" * 1_000)) == 2_000
    beside = "<x>" + "<x></x>" * 1_001 + "</x>"
    assert len(heard(beside)) == 2_004
    deeper = "<x>" * 1_001 + "</x>" * 1_001
    for text in (deeper, f"<y><z/><z/>{deeper[3:-4]}</y>"):
        with pytest.raises(UnreadableFile, match="nested more than 1,000 deep"):
            heard(text)


@pytest.mark.parametrize("encoding", ["utf-8", "ISO-8859-1", "windows-1252", "UTF-16"])
def test_xml_may_be_written_in_the_usual_encodings(encoding: str):
    text = f'<?xml version="1.0" encoding="{encoding}"?><a>ü</a>'
    assert heard(text.encode(encoding)) == ["+a", "ü", "-a"]
    assert heard('<?xml version="1.0"?><a/>') == ["+a", "-a"]


def test_xml_in_any_other_encoding_is_refused():
    with pytest.raises(UnreadableFile, match="its XML is written in cp437"):
        heard('<?xml version="1.0" encoding="cp437"?><a/>')


@pytest.mark.parametrize(("letters", "refused"), [(1_000, False), (1_001, True)])
def test_the_address_of_a_name_space_has_a_thousand_letters(letters: int, refused: bool):
    text = f'<a xmlns="{"x" * letters}"/>'
    if refused:
        with pytest.raises(UnreadableFile, match="a name space in it is 1,001 letters long"):
            heard(text)
    else:
        assert heard(text) == ["+a", "-a"]


def test_a_name_space_may_be_taken_back():
    assert heard('<a xmlns="urn:x"><b xmlns=""/></a>') == ["+a", "+b", "-b", "-a"]


def test_a_tag_without_an_end_is_not_read_over_and_over(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(guard, "CHUNK", 10)
    monkeypatch.setattr(guard, "LONGEST_TAG", 50)
    assert len(heard("<a>" + f'<b c="{"x" * 20}"/>' * 20 + "</a>")) == 42
    with pytest.raises(UnreadableFile, match="a tag in it is longer than 50 bytes"):
        heard(f'<a b="{"x" * 100}"/>')


def test_a_file_uses_so_many_different_names_and_no_more(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(guard, "MOST_NAMES", 20)
    assert heard("<a>" + "<b/>" * 100 + "</a>")[0] == "+a"
    with pytest.raises(UnreadableFile, match="uses more than 20 different names"):
        heard("<a>" + "".join(f"<b{place}/>" for place in range(30)) + "</a>")
