"""Plane geometry without lace words."""
