"""Records of the answers whose findings and sentences are modules of their own."""
