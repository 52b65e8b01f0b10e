"""Effects, a module a subject. Each function makes one fact of a scene, or None where there is none."""
