"""A sound logbook with faults put in, as people, programs and bad copies put them in.

The structure is known to the mutator: it spoils cells, rows, headings, encodings, line ends,
cell types and parts of a workbook rather than bytes alone, so that most mutants get past the
first check. One number gives one mutant, always the same.
"""

import random
from collections.abc import Callable
from pathlib import Path
from xml.sax.saxutils import escape

from tests.logbook.forge import MAIN, OFFICE, links, pack, parts, sheet_xml

Rows = list[list[str]]
Tables = dict[str, Rows]

SOUND = {
    "machines": "machine,site,in_service,width_cm\nM-1,North,2025-06-01,50\nM-2,South,,65",
    "readings": "machine,date,hours,new_meter\nM-1,2026-01-05,100,\nM-1,2026-02-05,180.5,\n"
    "M-2,2026-01-13,9990,\nM-2,2026-02-10,8,yes\nM-2,2026-03-10,70,\nM-1,2026-03-20,290,",
    "changes": "machine,date,position,action,part,cause,hours\n"
    "M-1,2026-01-05,front blade,fit,B-1,,100\nM-1,2026-01-25,front blade,turn,,worn,\n"
    "M-1,2026-02-20,front blade,turn,,damaged,\nM-2,2026-01-13,brush,fit,R-1,worn,\n"
    "M-2,2026-03-10,brush,fit,R-1,planned,70",
    "floors": "machine,floor,share,since\nM-1,vinyl,0.6,\nM-1,tile,0.4,\n"
    "M-2,concrete,100,2026-01-01",
    "parts": "part,kind,edges,price,pack,lead_days,supplier\nB-1,blade,4,18.50,2,14,Able\n"
    "R-1,brush,1,95,1,21,Baker",
    "positions": "machine,position,part,pieces\nM-1,front blade,B-1,1\nM-2,brush,R-1,2",
    "stock": "part,on_hand,counted\nB-1,5,2026-03-01\nR-1,0,",
    "on_order": "part,pieces,due\nB-1,4,2026-04-01",
    "plans": "machine,start,hours_per_week,end\nM-1,2026-04-01,12,2026-06-30",
    "settings": "setting,value\ncurrency,EUR\nservice_level,0.9",
}
NASTY = (
    "¦ ¦\u00a0¦-¦?¦n/a¦nan¦inf¦1e400¦-1¦0¦0.5¦1,204¦1.204,5¦1'204.5¦1204 h¦1_000"
    "¦\uff11\uff12¦\u0663¦1e3¦0x10¦--5¦5-¦yes¦Y¦TRUE¦maybe¦31/02/2026¦03/02/2026¦13/02/2026¦2026-02-30¦2026-1-5"
    "¦5 Jan 2026¦46027¦60¦0000-00-00¦99999999¦2958466¦1899-12-31¦9999-12-31¦2262-04-12¦1677-09-20"
    "¦2026-01-05T25:00¦5.1.26¦Q1¦M-1 ¦m_1¦M\u20131¦M-3¦EXAMPLE M-1¦Total¦total:¦=1+1¦@x¦+1¦../x¦<b>"
    "¦#N/A¦#REF!¦\ufeff¦\u200b¦\x07¦a\u0301¦\u0130¦\u00df¦fit¦Turn¦removed¦worn¦wron¦front  blade"
    f"¦{'x' * 300}¦{'9' * 40}¦\"¦'¦\\¦\U0001f642"
).split("¦")
HEADINGS = (
    "machine¦Unit¦hours¦Hrs¦date¦Date ¦¦machine¦PART¦on-hand¦hours_¦hour meter¦meter¦value¦setting"
    f"¦M-1¦2026-01-05¦{'x' * 200}¦share¦%¦\u00a0"
).split("¦")
TABLE_NAMES = f"Readings¦reading¦hour-meter¦Sheet1¦¦changes ¦columns¦{'x' * 40}¦Read me".split("¦")


def sound_tables() -> Tables:
    return {name: [line.split(",") for line in text.split("\n")] for name, text in SOUND.items()}


# --- faults in tables


def _some_rows(tables: Tables, rng: random.Random) -> Rows:
    return tables[rng.choice(sorted(tables))]


def spoil_cell(tables: Tables, rng: random.Random) -> None:
    rows = _some_rows(tables, rng)
    row = rng.choice(rows[1:] or rows) if rows else []
    if row:
        row[rng.randrange(len(row))] = rng.choice(NASTY)


def spoil_column(tables: Tables, rng: random.Random) -> None:
    rows = _some_rows(tables, rng)
    place, value = rng.randrange(5), rng.choice(NASTY)
    for row in rows[1:]:
        if place < len(row):
            row[place] = value if rng.random() < 0.8 else rng.choice(NASTY)


def spoil_heading(tables: Tables, rng: random.Random) -> None:
    rows = _some_rows(tables, rng)
    if rows and rows[0]:
        rows[0][rng.randrange(len(rows[0]))] = rng.choice(HEADINGS)


def move_rows(tables: Tables, rng: random.Random) -> None:
    rng.shuffle(_some_rows(tables, rng))


def repeat_rows(tables: Tables, rng: random.Random) -> None:
    rows = _some_rows(tables, rng)
    rows += [list(row) for row in rows[rng.randrange(len(rows) + 1) :]] * rng.randrange(1, 4)


def lose_rows(tables: Tables, rng: random.Random) -> None:
    rows = _some_rows(tables, rng)
    del rows[rng.randrange(len(rows) + 1) :]


def put_rows(tables: Tables, rng: random.Random) -> None:
    rows = _some_rows(tables, rng)
    row = rng.choice([[], [""] * 9, ["Title"], ["Total", "", "9"], ["x"] * 30, [rng.choice(NASTY)]])
    rows.insert(rng.randrange(len(rows) + 1), list(row))


def ragged_rows(tables: Tables, rng: random.Random) -> None:
    for row in _some_rows(tables, rng):
        if row and rng.random() < 0.4:
            del row[rng.randrange(len(row)) :]


def lose_table(tables: Tables, rng: random.Random) -> None:
    del tables[rng.choice(sorted(tables))]


def rename_table(tables: Tables, rng: random.Random) -> None:
    tables[rng.choice(TABLE_NAMES)] = tables.pop(rng.choice(sorted(tables)))


def mix_tables(tables: Tables, rng: random.Random) -> None:
    one, other = rng.choice(sorted(tables)), rng.choice(sorted(tables))
    tables[one] = [list(row) for row in tables[one] + tables[other]]


def scale_numbers(tables: Tables, rng: random.Random) -> None:
    factor = rng.choice([-1, 0, 1e-9, 1e9, 1e300])
    for row in _some_rows(tables, rng)[1:]:
        for place, cell in enumerate(row):
            if cell.replace(".", "", 1).isdigit():
                row[place] = str(float(cell) * factor)


FAULTS: tuple[Callable[[Tables, random.Random], None], ...] = (
    *(spoil_cell,) * 6,
    *(spoil_column,) * 3,
    *(spoil_heading,) * 2,
    *(move_rows, repeat_rows, lose_rows, put_rows, put_rows, ragged_rows),
    *(lose_table, rename_table, mix_tables, scale_numbers),
)


# --- tables into files, with the faults of files


def _csv_bytes(rows: Rows, encoding: str, rng: random.Random) -> bytes:
    mark = rng.choice(",,,;\t|")
    quote = rng.choice(['"', '"', ""])
    lines = [mark.join(f"{quote}{cell}{quote}" for cell in row) for row in rows]
    if rng.random() < 0.1:
        lines.insert(0, f"sep={mark}")
    text = rng.choice(["\n", "\n", "\r\n", "\r"]).join(lines)
    return _bad_copy(text.encode(encoding, "replace"), rng)


def _bad_copy(content: bytes, rng: random.Random) -> bytes:
    """Now and then a piece cut off, doubled or overwritten."""
    if rng.random() < 0.97 or not content:
        return content
    start = rng.randrange(len(content))
    end = min(len(content), start + rng.randrange(1, 50))
    piece = rng.choice([b"", content[start:end] * 2, rng.randbytes(end - start), b"\0", b'"'])
    return content[:start] + piece + (content[end:] if rng.random() < 0.8 else b"")


def _cell_xml(text: str, rng: random.Random) -> str:
    """The cell as a spreadsheet might store it; sometimes as no spreadsheet would."""
    inside = escape("".join(letter for letter in text if letter >= " "))
    kind = rng.random()
    if kind < 0.75:
        try:
            float(text)
            return f'<c s="{rng.randrange(3)}"><v>{inside}</v></c>'
        except ValueError:
            return f'<c t="inlineStr"><is><t>{inside}</t></is></c>'
    form = rng.choice(["str", "s", "e", "b", "d", "n", "inlineStr", "x"])
    formula = rng.choice(["", "", "<f>A1</f>"])
    reference = rng.choice(["", "", ' r="C3"', ' r="XFD9"', ' r="?"'])
    return f'<c t="{form}"{reference}>{formula}<v>{inside}</v></c>'


def _book_bytes(tables: Tables, rng: random.Random) -> bytes:
    styles = '<cellXfs><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="46"/></cellXfs>'
    entries: dict[str, str | bytes] = dict(parts(styles=styles))
    names = sorted(tables)
    sheets = "".join(
        f'<sheet name="{escape(name)}" sheetId="{n}" r:id="rId{n}"/>'
        for n, name in enumerate(names, 1)
    )
    flags = rng.choice(["", "", 'date1904="1"'])
    entries["xl/workbook.xml"] = (
        f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><workbookPr {flags}/>'
        f"<sheets>{sheets}</sheets></workbook>"
    )
    targets = [("worksheet", f"worksheets/sheet{n}.xml") for n in range(1, len(names) + 1)]
    entries["xl/_rels/workbook.xml.rels"] = links(*targets, ("styles", "styles.xml"))
    for number, name in enumerate(names, 1):
        rows = "".join(
            rng.choice(["<row>", "<row>", '<row hidden="1">'])
            + "".join(_cell_xml(cell, rng) for cell in row)
            + "</row>"
            for row in tables[name]
        )
        entries[f"xl/worksheets/sheet{number}.xml"] = sheet_xml(rows)
    if rng.random() < 0.1:
        del entries[rng.choice(sorted(entries))]
    spoilt = rng.choice(sorted(entries))
    content = entries[spoilt]
    if rng.random() < 0.1:
        entries[spoilt] = _bad_copy(
            content if isinstance(content, bytes) else content.encode(), rng
        )
    return _bad_copy(pack(entries), rng)


def mutant(number: int, folder: Path) -> Path:
    """The logbook of that number, written into the folder: CSV files or a workbook."""
    rng = random.Random(number)
    tables = sound_tables()
    for _ in range(rng.randrange(1, 4)):
        if tables:
            rng.choice(FAULTS)(tables, rng)
    if rng.random() < 0.4:
        path = folder / "book.xlsx"
        path.write_bytes(_book_bytes(tables, rng))
        return path
    home = folder / "log"
    home.mkdir()
    encoding = rng.choice(["utf-8", "utf-8", "utf-8-sig", "utf-16", "cp1252", "cp437"])
    for name, rows in tables.items():
        (home / f"{name.strip() or 'blank'}.csv").write_bytes(_csv_bytes(rows, encoding, rng))
    return home
