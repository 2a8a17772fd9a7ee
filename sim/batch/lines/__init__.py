"""Numbers of many lifts at once, and lines through time.

Arrays are of shape (n,), a number for each lift, as `sim/batch/__init__.py` says.
"""
