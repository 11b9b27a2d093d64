"""A Layout becomes a Plan: what can be cut, what is lost, in which order."""
