"""What an entry of the formula book is, and the three ways of reading it."""
