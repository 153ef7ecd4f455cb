"""The command line of laceproof."""
