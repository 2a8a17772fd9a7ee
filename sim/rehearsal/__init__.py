"""The story with a person for a leader."""
