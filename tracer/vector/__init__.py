"""Ink becomes a Drawing: network, centres, junctions, corners, fit."""
