"""Arguments in, exit code out, nothing else."""
