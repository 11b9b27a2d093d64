"""What stands in the workshop: bits, wood, linkage, router and printer, as formulas and settings."""
