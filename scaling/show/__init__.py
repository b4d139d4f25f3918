"""Tables, pictures, page and log."""
