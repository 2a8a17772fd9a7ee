"""Pictures for slides."""
