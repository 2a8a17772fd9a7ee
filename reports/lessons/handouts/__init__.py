"""A lesson given away: as a document to edit, as a notebook."""
