"""Turn threads into settled ThreadPaths: where they lie under tension."""
