"""What captures at a station: one file a kind, one protocol (`protocol.py`).

A new kind is a new file here and a table in `sim/written/keys/devices.py`.
"""

from sim.model.devices.chain import Chain
from sim.model.devices.collar import Collar
from sim.model.devices.crib import Crib
from sim.model.devices.pin import Pin
from sim.model.devices.protocol import EXACT, Device, Held, Step, Task
from sim.model.devices.strap import Strap

__all__ = ["EXACT", "Chain", "Collar", "Crib", "Device", "Held", "Pin", "Step", "Strap", "Task"]
