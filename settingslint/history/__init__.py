"""History: all of git is in here, and nowhere else."""
