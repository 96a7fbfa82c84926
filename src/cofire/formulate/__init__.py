"""Recipes that meet wishes: linear programs, and curved wishes taken straight step by step."""
