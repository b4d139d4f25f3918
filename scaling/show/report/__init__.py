"""The study as people read it: one HTML file, and Markdown for a build log."""
