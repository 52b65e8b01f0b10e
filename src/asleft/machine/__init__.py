"""The machine's equations: motor, load, ramps, braking, overload, signals. Floats in, floats out.

Nothing is rounded here. Units stand in the names. An input outside the range where an equation holds raises
ValueError with a plain sentence. Every equation names where it comes from: a published source, memory, or
"common practice, no source".
"""
