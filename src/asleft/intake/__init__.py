"""Sources of a reading: files, keypad, field bus."""
