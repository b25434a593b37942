"""Rework: what a disturbance spoils, in which order it is put right, and what is left open."""
