"""One plant in, findings and coverage out; many plants at once, remembered and by several processes."""
