"""The few exceptions that stop a run.

Each carries one sentence for the person: what is wrong, where, and what to do. They are caught
once, in ``cli``, and end the run with exit code 2 and no traceback. Whatever can be set aside
row by row is told instead (see ``told.py``).
"""


class WearcastError(Exception):
    """Something makes the job impossible; the message is one sentence for the person."""


class UnreadableFile(WearcastError):
    """A file cannot be opened, is not what its name says, or is not safe to open."""


class UnusableTable(WearcastError):
    """A table that the job needs is missing, or its headings or dates cannot be read."""


class UnknownChoice(WearcastError):
    """An option or a setting has a value that means nothing here."""


class NothingToFit(WearcastError):
    """The logbook holds no history from which anything could be said."""


class NothingWritten(NothingToFit):
    """The logbook is blank: headings, examples, and nothing else yet."""


class CannotWrite(WearcastError):
    """The output cannot be written whole, so nothing was written."""
