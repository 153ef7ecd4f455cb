"""Turn fragments into pixels and pixels into a file."""
