"""What a client gets: the offer, on two pages and as a workbook."""
