"""Sheets as people keep them become sheets of ours, through the person's own mapping; pure."""
