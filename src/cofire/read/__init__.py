"""What people type: numbers, units, sizes, lists. One grammar for all of it."""
