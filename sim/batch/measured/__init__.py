"""What the batch measures of its lifts, call by call, from the instants of a call as plain arrays.

Arrays are of shape (..., n): the last axis is the lifts, or of shape (k,) for some of them.
"""
