"""Records as sites keep them, read through a mapping, against what they truly say."""
