"""From what is wrong to a recipe: adjust, swap, compose."""
