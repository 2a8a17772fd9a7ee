"""What captures at a station: one file a kind, one protocol (`protocol.py`).

A new kind is a new file here, a line in `KINDS` and a table in `sim/written/crew.py`.
"""

from sim.devices.chain import Chain
from sim.devices.collar import Collar
from sim.devices.crib import Crib
from sim.devices.pin import Pin
from sim.devices.protocol import EXACT, Device, Held, Step
from sim.devices.strap import Strap

KINDS: dict[str, type] = {"collar": Collar, "pin": Pin, "chain": Chain, "strap": Strap, "crib": Crib}

__all__ = ["EXACT", "KINDS", "Chain", "Collar", "Crib", "Device", "Held", "Pin", "Step", "Strap"]
