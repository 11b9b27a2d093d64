"""What the rooms hand to one another: frozen dataclasses with plain numpy arrays inside."""
