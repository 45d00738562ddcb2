"""Pages and pictures for people who answer for many plants: static, no network, printable in black and white."""
