"""One lift on a page: timeline, gaps, call sheet."""
