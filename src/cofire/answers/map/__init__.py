"""A map of one quantity over two amounts."""
