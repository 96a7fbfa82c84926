"""Does it fit? Setting, stress, crazing and shivering as mechanics. Tension is positive."""
