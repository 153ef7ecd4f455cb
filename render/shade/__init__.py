"""Turn settled ThreadPaths into lit fragments."""
