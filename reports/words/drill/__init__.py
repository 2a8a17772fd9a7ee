"""A debrief in words."""
