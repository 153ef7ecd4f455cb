"""Turn a Pricking into a WorkingPlan: who meets whom, in what order."""
