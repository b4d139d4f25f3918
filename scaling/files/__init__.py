"""A stranger's file in, a whole file out, one sentence when not."""
