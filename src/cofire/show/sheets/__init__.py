"""Batch sheets to print, as HTML and PDF."""
