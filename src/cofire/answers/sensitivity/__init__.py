"""How far an answer moves when each source of doubt is drawn."""
