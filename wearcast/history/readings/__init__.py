"""What the hour meters showed, and the curve of run hours that can be believed."""
