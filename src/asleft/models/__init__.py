"""Drive models: the native list, and translation between native and neutral terms."""
