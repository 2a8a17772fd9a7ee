"""Runs on disk, there whole or not at all."""
