"""Numbers of many lifts at once, and lines through time."""
