"""Count what a plan takes: pairs, stitches, thread, hours."""
