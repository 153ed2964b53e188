"""Pages as they answer."""
