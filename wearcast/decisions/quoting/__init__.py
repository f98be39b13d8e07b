"""What a quote is made of: the proposed fleet, its floor mixes, and what makes it unsure."""
