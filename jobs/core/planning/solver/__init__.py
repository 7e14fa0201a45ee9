"""The constraint model. The only place that imports OR-Tools, and only once something is solved."""
