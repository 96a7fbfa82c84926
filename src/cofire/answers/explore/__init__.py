"""What an answer hangs on: maps over two amounts, and shaking every source of doubt."""
