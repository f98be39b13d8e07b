"""Studies: long runs whose results are written down, not tests."""
