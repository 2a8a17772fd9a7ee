"""Many lifts: studies, doubts, cadences, comparisons, and the statistics and workers that they need."""
