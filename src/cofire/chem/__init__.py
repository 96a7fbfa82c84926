"""Chemistry: oxides, formulas, analyses, the unity formula. Pure functions, numpy only."""
