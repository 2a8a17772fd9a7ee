"""What a lift is made of: the scenario, the devices, geometry, forces, human times. Frozen data, plain functions."""
