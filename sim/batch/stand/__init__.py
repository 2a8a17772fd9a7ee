"""Where sides and places of many lifts stand, and what would stop a side.

Arrays are of shape (n,), a number for each lift, as `sim/batch/__init__.py` says.
"""
