"""A second simulator: fleets as sites really run them, and a judge of what is forecast for them.

It shares nothing with the package's model and nothing with ``tests/fleets.py``. A machine runs on
days, a floor lies under it, an edge wears along its own life, and somebody handles it as that
site's policy says. The log holds what that site writes down, and nothing else.
"""
