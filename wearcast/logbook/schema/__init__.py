"""The contract as data: tables and columns, every list of words, and when two spellings are one."""
