"""What goes into the weekly hours ahead: level, season, unrest, plans."""
