"""A Scan becomes Ink: light, threshold, separate, thin."""
