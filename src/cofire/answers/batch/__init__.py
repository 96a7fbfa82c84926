"""What to weigh, mix, buy and mind, as exact decimals and plain facts."""
