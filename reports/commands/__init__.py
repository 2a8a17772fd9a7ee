"""What each command does once its words are understood: read, simulate, store, and say what came of it.

`cli.py` parses, calls one of these and turns what it gives back into an exit code.
"""
