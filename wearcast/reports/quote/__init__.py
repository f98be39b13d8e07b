"""The quote of a proposed site, as a workbook and as a page."""
