"""Databases, feeds and texts made to hurt: each maker writes one and returns its path."""

import gzip
import os
import sqlite3
from collections.abc import Callable
from pathlib import Path

from tests.logbook.forge import save

FEED = (
    "<Fleet>{}<Equipment><EquipmentHeader><EquipmentID>M-1</EquipmentID></EquipmentHeader>"
    '<CumulativeOperatingHours datetime="2026-01-05T00:00:00Z"><Hour>{}</Hour>'
    "</CumulativeOperatingHours></Equipment></Fleet>"
)


def _base(folder: Path, *orders: str, page: int = 4096) -> Path:
    path = folder / "log.sqlite"
    base = sqlite3.connect(path)
    base.execute(f"pragma page_size = {page}")
    with base:
        base.execute("create table readings (machine text, date text, hours real)")
        base.execute("insert into readings values ('M-1', '2026-01-05', 100)")
        for order in orders:
            base.execute(order)
    base.close()
    return path


def database_with_huge_texts(folder: Path) -> Path:
    text = "hex(zeroblob(900000))"
    return _base(folder, *[f"insert into readings values ({text}, '2026-01-06', {text})"] * 20)


def database_whose_view_multiplies_itself(folder: Path) -> Path:
    joined = ", ".join(f"readings r{n}" for n in range(40))
    rows = [f"insert into readings values ('M-{n}', '2026-01-06', {n})" for n in range(30)]
    return _base(folder, *rows, f"create view changes as select r0.machine from {joined}")


def database_whose_views_grow_a_text(folder: Path) -> Path:
    views = ["create view v0 as select hex(zeroblob(400000)) as machine"]
    views += [
        f"create view v{n} as select machine || machine as machine from v{n - 1}"
        for n in range(1, 12)
    ]
    return _base(folder, *views, "create view changes as select machine from v11")


def database_with_two_thousand_columns(folder: Path) -> Path:
    columns = ", ".join(f"c{n}" for n in range(1_999))
    return _base(folder, f"create table parts ({columns})", "insert into parts (c1) values (1)")


def database_with_a_thousand_tables(folder: Path) -> Path:
    return _base(folder, *[f"create table t{n} (x)" for n in range(1_000)], page=512)


def database_with_odd_names(folder: Path) -> Path:
    names = ('a"b', "x'; drop table readings; --", "../x", "\u202e", "sqlite", " " * 50, "{{7*7}}")
    return _base(folder, *['create table "{}" (x)'.format(n.replace('"', '""')) for n in names])


def database_with_spoilt_pages(folder: Path) -> Path:
    rows = [f"insert into readings values ('M-{n}', '2026-01-06', {n})" for n in range(3_000)]
    path = _base(folder, *rows, page=512)
    content = bytearray(path.read_bytes())
    for place in range(1_024, len(content) - 512, 4_096):
        content[place : place + 200] = bytes(range(200))
    path.write_bytes(content)
    return path


def database_whose_pages_go_in_a_circle(folder: Path) -> Path:
    rows = [f"insert into readings values ('M-{n}', '2026-01-06', {n})" for n in range(3_000)]
    path = _base(folder, *rows, page=512)
    content = path.read_bytes()
    # Interior pages (kind 5) have their right-most child at byte 8: all point to page 2.
    pages = [bytearray(content[n : n + 512]) for n in range(0, len(content), 512)]
    for page in pages[1:]:
        if page[0] == 5:
            page[8:12] = (2).to_bytes(4, "big")
    path.write_bytes(b"".join(pages))
    return path


def database_with_a_journal_left_behind(folder: Path) -> Path:
    path = _base(folder)
    (folder / "log.sqlite-wal").write_bytes(bytes(100_000))
    return path


def database_with_a_hot_journal(folder: Path) -> Path:
    path = _base(folder)
    (folder / "log.sqlite-journal").write_bytes(b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7" + bytes(5_000))
    return path


def database_cut_short(folder: Path) -> Path:
    path = database_with_a_thousand_tables(folder)
    path.write_bytes(path.read_bytes()[:100_000])
    return path


def feed_with_entities(folder: Path) -> Path:
    entities = "".join(f"<!ENTITY a{n} '{f'&a{n - 1};' * 10}'>" for n in range(1, 10))
    doctype = f"<!DOCTYPE x [<!ENTITY a0 'ha'>{entities}]>"
    return save(folder, (doctype + FEED.format("", "&a9;")).encode(), "feed.xml")


def feed_that_asks_for_a_file(folder: Path) -> Path:
    doctype = "<!DOCTYPE x [<!ENTITY a SYSTEM 'file:///etc/hostname'>]>"
    return save(folder, (doctype + FEED.format("", "&a;")).encode(), "feed.xml")


def feed_a_hundred_thousand_deep(folder: Path) -> Path:
    deep = "<x>" * 100_000 + "</x>" * 100_000
    return save(folder, FEED.format(deep, "1").encode(), "feed.xml")


def packed_text_called_csv(folder: Path) -> Path:
    content = gzip.compress(b"machine,date,hours\n" + b"M-1,2026-01-05,1\n" * 1_000_000, mtime=0)
    return save(folder, content, "readings.csv")


def link_to_a_device(folder: Path) -> Path:
    (folder / "readings.csv").symlink_to("/dev/zero")
    return folder / "readings.csv"


def pipe(folder: Path) -> Path:
    os.mkfifo(folder / "readings.csv")
    return folder / "readings.csv"


def folder_with_a_pipe(folder: Path) -> Path:
    pipe(folder)
    save(folder, b"machine,date,position,action\nM-1,2026-01-05,front blade,fit\n", "changes.csv")
    return folder


def folder_in_a_circle(folder: Path) -> Path:
    (folder / "again").symlink_to(folder)
    (folder / "readings.csv").symlink_to("readings.csv")
    save(folder, b"machine,date,position,action\nM-1,2026-01-05,front blade,fit\n", "changes.csv")
    return folder


def link_that_bites_its_tail(folder: Path) -> Path:
    (folder / "readings.csv").symlink_to("readings.csv")
    return folder / "readings.csv"


def names_of_control_characters(folder: Path) -> Path:
    table = b"machine,date,hours\nM-1,2026-01-05,1\n"
    for name in (
        "\x1b[2J.csv",
        "a\nb.csv",
        "\x07readings.csv",
        "\u202evsc.csv",
        "x" * 250 + ".csv",
    ):
        save(folder, table, name)
    return folder


PLAIN: dict[str, Callable[[Path], Path]] = {
    "database_with_triggers": lambda at: _base(
        at,
        "create trigger fires after insert on readings begin delete from readings; end",
        "create view changes as select * from readings",
        "create trigger instead instead of insert on changes begin select 1; end",
    ),
    "database_with_huge_blobs": lambda at: _base(
        at, "insert into readings values (zeroblob(40000000), zeroblob(40000000), 1)"
    ),
    "database_whose_views_bite_their_tails": lambda at: _base(
        at, "create view a as select * from b", "create view b as select * from a"
    ),
    "feed_of_one_long_text": lambda at: save(
        at, FEED.format("", "9" * 10_000_000).encode(), "feed.xml"
    ),
    "feed_without_an_end": lambda at: save(at, b"<Fleet>" + b"<x>" * 1_000_000, "feed.xml"),
    "device": lambda _: Path("/dev/zero"),
}
"""Files of a line each, by name."""
