"""Meshes and outlines."""
