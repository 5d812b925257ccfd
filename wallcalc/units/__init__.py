"""What people write and pay: lengths, quantities and money, read and written at the boundary only."""
