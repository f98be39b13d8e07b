"""What happened becomes how fast things wear: likelihood, priors, fit, pace, other ends."""
