"""Files of every kind become sheets of cells as the person wrote them."""
