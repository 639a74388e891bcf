"""The demo: an invented program, its homes, and their way through it by the portal's services."""
