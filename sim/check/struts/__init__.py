"""How much a strut carries before it buckles: the physics, what materials bear, and what the check says of it."""
