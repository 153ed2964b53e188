"""The room, without a server around it."""
