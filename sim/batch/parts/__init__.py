"""What the batch is made of: arrays, the layout of a scenario, how its lifts stand, people's times, work in steps.

Arrays are of shape (..., n): the last axis is the lifts, or of shape (k,) for some of them.
"""
