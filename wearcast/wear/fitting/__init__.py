"""How a wear class is fitted: likelihood, priors, the climb, the doubt that is left."""
