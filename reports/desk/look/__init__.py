"""What a plan looks like: the drawing, the figures that are always in sight, the findings."""
