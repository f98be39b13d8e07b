"""Sheets become tables: headings, rows, and each column's cells as numbers, dates and words."""
