"""The reference carried to another factor."""
