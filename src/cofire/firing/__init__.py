"""What the kiln does over time, and what the ware feels of it. Plain arrays: seconds and °C."""
