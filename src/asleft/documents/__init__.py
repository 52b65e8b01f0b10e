"""Results as text, JSON and paper."""
