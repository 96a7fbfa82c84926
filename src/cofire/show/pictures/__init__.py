"""What is drawn as SVG or set as cards."""
