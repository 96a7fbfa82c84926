"""Cautions and doubts that answers carry."""
