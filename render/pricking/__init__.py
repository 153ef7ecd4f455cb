"""Turn a Pattern into a Pricking: which hole belongs to what."""
