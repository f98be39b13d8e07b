"""Records as sites keep them before they know this tool, each with what it truly says.

`fleet` invents what happened, `sets_*` write it down the way a site would, and `walk` takes a set
through ``wearcast import`` as a person who decides only the blanks. Written before the drafter,
without looking at it, so that the sets do not flatter it.
"""
