"""The report as one page: its tables, charts and templates."""
