"""Temperature of the kiln and of the ware over time. Plain arrays: seconds and °C."""
