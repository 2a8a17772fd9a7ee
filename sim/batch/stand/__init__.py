"""Where sides and places of many lifts stand, and what would stop a side."""
