"""What must hold within and between the tables; what does not is told."""
