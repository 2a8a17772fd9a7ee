"""The load drawn from the side, the end and above: still, and in motion."""
