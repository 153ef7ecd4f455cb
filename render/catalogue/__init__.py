"""Turn a folder of patterns into a page to leaf through."""
