"""What belongs to the order beside its workbook: lines, run-down, dates, what changed."""
