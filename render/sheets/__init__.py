"""Turn a worked piece into a sheet to keep beside the pillow."""
