"""Recipes that meet targets: linear programs, and nonlinear targets, linearised step by step."""
