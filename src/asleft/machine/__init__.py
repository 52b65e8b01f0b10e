"""Equations of motor, load, ramps, braking, overload and signals. Floats in, floats out."""
