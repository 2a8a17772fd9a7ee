"""The way down in the batch, and a hold: as `sim/story/lowering.py`, over arrays.

A lowering call is barrier after barrier: all clear (`freeing.py`), all hands out (`sim/batch/let_down.py`), each
landing (`valves.py`). At each the leader of every lift waits for the last of its people; between two of them time
passes as ever (`sim/batch/happens.py`). `leader.py` has the order of it, `standing.py` what the load rests on.
"""
