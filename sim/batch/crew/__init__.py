"""The people of many lifts at once: their times, their work, their rounds.

Arrays are of shape (n,), a number for each lift, as `sim/batch/__init__.py` says.
"""
