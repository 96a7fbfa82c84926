"""A day with the kiln by the clock: what is asked, hands and bins, and the plan."""
