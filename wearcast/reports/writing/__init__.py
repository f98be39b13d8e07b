"""Files into a folder, whole or not at all, under one run id."""
