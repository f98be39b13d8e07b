"""What the walk stands on: clock, start, edge after edge, dates."""
