"""Files read, validated and resolved: profile, control, treatment, and the place of every value."""
