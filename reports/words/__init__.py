"""Words that a page and the terminal both say."""
