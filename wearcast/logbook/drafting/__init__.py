"""Records of any shape -> a proposal of how to read them: rows of ``columns`` and ``words``.

Nothing is read through here and nothing decided: what is not sure stays blank for the person.
"""
