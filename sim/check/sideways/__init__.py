"""What wants to move the load sideways, and what holds it."""
