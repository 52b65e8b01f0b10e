"""What a person asks for. Returns results, prints nothing."""
