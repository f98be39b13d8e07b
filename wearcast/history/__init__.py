"""Checked tables become what happened: meter curves, edges, spells, hours on each floor."""
