"""What is found about rows, and how a table carries it until it is told."""
