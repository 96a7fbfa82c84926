"""What is uncertain, drawn once: conditions, glazes, bodies, firings, and what comes of them."""
