"""The event record of a lift, and all that is read from it: behind it nobody knows how it came about."""
