"""Ware that leaves the kiln hot: how it cools, cracks, smokes and survives."""
