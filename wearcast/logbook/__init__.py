"""Files become checked tables: reading, headings, cells, rules, and the contract as data."""
