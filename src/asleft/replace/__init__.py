"""From one drive to another: what to copy, convert, put right, in which order."""
