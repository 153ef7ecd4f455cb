"""Turn a WorkingPlan into threads and their crossings."""
