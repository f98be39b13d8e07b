"""The clerk's workbook, a sheet a file."""
