"""Is it ripe? Sealing, levelling and running as integrals over the ware's own history."""
