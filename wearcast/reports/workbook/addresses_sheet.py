"""The sheet Addresses: who orders and where to deliver, typed once for every supplier's sheet."""

from dataclasses import dataclass

from wearcast.reports.fields import Field
from wearcast.reports.workbook.papers import Sheet
from wearcast.reports.workbook.sheets import (
    FIRST_TABLE_ROW,
    LINE_HEIGHT,
    down,
    set_print,
    write_cell,
    write_headings,
    write_title,
)

NAME = "Addresses"
FIRST = FIRST_TABLE_ROW
FROM = "From"
COLUMNS = (
    Field("who", "text", "Depot", "Who orders, then the depots."),
    Field("address", "text", "Name and address", "As it stands on the suppliers' sheets; lines of "
          "an address one below the other or with commas between them."),
)  # fmt: skip
_WIDTHS = (20.0, 60.0)


@dataclass(frozen=True, slots=True)
class Addresses:
    """Who orders, and each depot with its address; blank where none is known."""

    sender: str
    depots: dict[str, str]

    def of_sender(self) -> tuple[str, str]:
        """Who orders, as a formula and its value."""
        return f'=IFERROR({self._found(f""""{FROM}" """.strip())},"")', self.sender

    def of_depot(self, depot: str, cell: str) -> tuple[str, str]:
        """Where to deliver, as a formula, given the cell that names the depot, and its value."""
        address = f'IFERROR({self._found(cell)},"")'
        value = ": ".join(each for each in (depot, self.depots.get(depot, "")) if each)
        return f'{cell}&IF({address}="","",": "&{address})', value

    def _found(self, cell: str) -> str:
        names, texts = (down(NAME, place, FIRST, FIRST + len(self.depots)) for place in (0, 1))
        return f'LOOKUP(2,1/EXACT({names},{cell}),{texts})&""'


def write_addresses_sheet(paper: Sheet, addresses: Addresses) -> None:
    """A yellow cell for who orders and one a depot."""
    sheet, looks = paper.sheet, paper.looks
    write_title(
        sheet, looks, "Addresses", "For the suppliers' sheets and the order documents. What the "
        "logbook's settings (buyer) and its table depots hold stands here already.",
    )  # fmt: skip
    write_headings(sheet, looks, COLUMNS, FIRST - 1)
    rows = [(FROM, addresses.sender), *addresses.depots.items()]
    for row, (who, address) in enumerate(rows, FIRST):
        write_cell(sheet, row, 0, who, looks.of("text", "line", "wrap", "bold"))
        write_cell(sheet, row, 1, address, looks.of("text", "input", "wrap"))
        sheet.set_row(row, LINE_HEIGHT * max(3, address.count("\n") + 1) + 2)
    for place, width in enumerate(_WIDTHS):
        sheet.set_column(place, place, width)
    sheet.freeze_panes(FIRST, 0)
    set_print(sheet, widths=_WIDTHS, last_row=FIRST + len(rows), heading=FIRST - 1, foot=paper.foot)
