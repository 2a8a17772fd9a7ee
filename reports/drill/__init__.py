"""The page of a debrief, and the observer's timer."""
