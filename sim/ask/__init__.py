"""The nine questions that make a first scenario."""
