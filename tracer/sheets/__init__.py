"""A Plan becomes files for the bench."""
