"""Coming changes become what to do: orders, money, quotes, choice of part, trust."""
