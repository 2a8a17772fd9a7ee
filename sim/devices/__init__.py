"""What captures at a station: one file a kind, one protocol (`protocol.py`).

A new kind is a new file here and a table in `sim/written/devices.py`.
"""

from sim.devices.chain import Chain
from sim.devices.collar import Collar
from sim.devices.crib import Crib
from sim.devices.pin import Pin
from sim.devices.protocol import EXACT, Device, Held, Step
from sim.devices.strap import Strap

__all__ = ["EXACT", "Chain", "Collar", "Crib", "Device", "Held", "Pin", "Step", "Strap"]
