"""The short form of a scenario: a few lines that stand for a whole file."""
