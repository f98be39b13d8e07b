"""Wear and hours become coming changes: weekly hours, the walk over edges, due dates."""
