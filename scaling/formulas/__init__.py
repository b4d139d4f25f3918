"""The formula book: one module a branch, read as numbers, as dimensions and as exponents."""
