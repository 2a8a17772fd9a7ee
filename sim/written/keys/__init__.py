"""The tables and keys of a scenario file: what may stand where, and what it means."""
