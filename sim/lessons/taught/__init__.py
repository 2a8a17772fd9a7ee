"""The lessons, a file each, and what several of them watch a lift with."""
