"""What an order line is made of: need, stock, deliveries, purchase, timing, reason."""
