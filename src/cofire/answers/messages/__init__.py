"""Sentences about answers."""
