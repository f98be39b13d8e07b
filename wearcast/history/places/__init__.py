"""What stands where: sites of machines, the changes of each position, what it carries."""
