"""Any file in: pictures become a Scan."""
