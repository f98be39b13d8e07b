"""A forecast becomes files: frames, charts, workbook, page, parcel. Decides nothing."""
