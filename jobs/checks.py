"""System checks."""
