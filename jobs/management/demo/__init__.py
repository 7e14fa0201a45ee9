"""The invented firm of the demo, told through the same actions a person would use, laid around a given day."""
