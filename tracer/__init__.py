"""True-scale templates for carving with a router on a copying linkage."""
