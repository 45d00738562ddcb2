"""What several rules, `effect` and the pictures derive from a plant: its line, its need, its output, its hours."""
