"""The explorer: ports between those of a study, from a grid of evaluated ones, by sliders in the page."""
