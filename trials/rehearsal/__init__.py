"""A plan played on simulated dirt, through the verdict's own rules."""
