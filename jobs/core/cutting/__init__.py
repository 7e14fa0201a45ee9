"""Solvers of the cut list: first-fit decreasing at once, and the best cuts by CP-SAT."""
