"""Data files: find them, read them, say what is wrong with them. No physics here."""
