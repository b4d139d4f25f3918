"""Ports beside the reference: drift, problems, status."""
