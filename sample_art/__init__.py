"""Pictures of our own scenario, the scripts that draw them, and what is true of each."""
