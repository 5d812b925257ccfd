"""What is bought: what pieces are cut from, fill, screws, finishing, packs, the order and its waste."""
