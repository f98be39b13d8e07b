"""What a fit makes one doubt, and the words for it."""
