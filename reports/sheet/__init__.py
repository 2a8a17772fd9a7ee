"""The calculation sheet on a page."""
