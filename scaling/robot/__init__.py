"""The design file: a reference robot in SI units."""
