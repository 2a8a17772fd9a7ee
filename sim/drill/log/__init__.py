"""An observed drill as somebody noted it: lines, clocks, names."""
