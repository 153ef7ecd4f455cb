"""Turn a pattern and choices of thread and stitch into one sheet to compare them on."""
