"""What the fit says as tables: by floor, by effect, by edges used."""
