"""What answers hold: records without computing or prose."""
