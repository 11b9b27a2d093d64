"""Curves, polylines, affine maps and joints, without any stage's own knowledge.

Points are rows (x, y); frames and units are the caller's.
"""
