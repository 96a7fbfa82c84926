"""Pictures as SVG, and cards."""
