"""Mixtures of glazes and of additions: points, cups, tiles to fire."""
