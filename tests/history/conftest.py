"""Laws are tried on the same examples every time, however busy the machine is."""

from hypothesis import settings

settings.register_profile("same every time", deadline=None, derandomize=True, max_examples=60)
settings.load_profile("same every time")
