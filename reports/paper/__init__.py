"""What every page shares: the page itself, its colours, its assets, charts."""
