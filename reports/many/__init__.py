"""Many lifts on a page: comparison, study, cadence."""
