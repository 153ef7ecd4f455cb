"""Turn a pattern file into a Pattern."""
