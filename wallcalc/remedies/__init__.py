"""What would let a refused wall be built, tried before it is told."""
